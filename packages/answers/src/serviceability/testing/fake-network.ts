import type { LonLat } from "@fellmark/geodesy";
import { type CoverageRequest, type CpeSpec, parseCoverageRequest } from "@fellmark/network";
import type { Answer, PlaceQuestion } from "../../place/answer.ts";
import type { AnsweringNetwork } from "../answering-network.ts";

/** Two masts, three sectors, two plans; in the open ocean, so that nobody takes it for a real place. */
export function createSmallRequest(change: object = {}): CoverageRequest {
  const channel = { centreMhz: 5600, widthMhz: 20 };
  const sector = { antenna: "cpe", radio: "r1", heightAglM: 30, powerDbm: 19, azimuthDeg: 0, channel };
  return parseCoverageRequest({
    version: 1,
    area: { radiusM: 5000, zoom: 12 },
    model: { clutter: { class: "open" } },
    sites: [
      { id: "a", lon: -30.5, lat: 12.5 },
      { id: "b", lon: -30.48, lat: 12.5 },
    ],
    antennas: [{ id: "cpe", kind: "isotropic", gainDbi: 16 }],
    radios: [{ id: "r1", table: "802.11ax" }],
    sectors: [
      { ...sector, id: "a-n", site: "a" },
      { ...sector, id: "a-s", site: "a" },
      { ...sector, id: "b-e", site: "b" },
      { ...sector, id: "b-w", site: "b" },
    ],
    cpe: { heightAglM: 6, maxHeightAglM: 12, antenna: "cpe", radio: "r1", powerDbm: 19 },
    plans: [
      { id: "p100", downMbps: 100, upMbps: 20 },
      { id: "p25", downMbps: 25, upMbps: 5 },
    ],
    ...change,
  });
}

/** An answer as good as can be, from sectors of falling level. */
export function createGoodAnswer(at: LonLat, change: Partial<Answer> = {}): Answer {
  return {
    version: 1,
    at: [at.lon, at.lat],
    verdict: "serviceable",
    likelihood: null,
    heightAglM: 6,
    leastHeightAglM: null,
    probability: 0.97,
    plan: "p100",
    considered: {
      ...{ plan: "p100", heightAglM: 6, probability: 0.97 },
      ...{ downMbps: 120, upMbps: 25, downNowMbps: 180, upNowMbps: 40 },
    },
    headline: "serviceable at 6 m: p100 (100/20 Mbit/s), 97 % chance",
    reason: "The line is clear.",
    links: ["a-n", "a-s", "b-e", "b-w"].map((sector, rank) => link(sector, -60 - 10 * rank)),
    plans: [
      { plan: "p100", probability: 0.93, leastHeightAglM: null },
      { plan: "p25", probability: 0.97, leastHeightAglM: null },
    ],
    offers: [],
    clutter: { known: true, mast: [], cpe: { kind: "open", heightM: 0, isMeasured: false } },
    foliage: null,
    inputs: { model: "m1", terrain: "t1", calibration: null },
    warnings: [],
    ...change,
  };
}

export function link(sector: string, downDbm: number): Answer["links"][number] {
  return {
    sector,
    distanceM: 2000,
    azimuthDeg: 180,
    elevationDeg: 0.5,
    class: "clear",
    fresnelClearance: 1.2,
    blocking: null,
    obstacles: [],
    inTheWay: [],
    canopyLengthM: 0,
    clutterLaws: [],
    isBelowClass: false,
    horizons: { mastDistanceM: null, cpeDistanceM: null },
    notKnownShare: 0,
    downMbps: 120,
    upMbps: 25,
    downNowMbps: 180,
    upNowMbps: 40,
    sinrDownDb: 30,
    sinrUpDb: 28,
    ports: [{ sinrDownDb: 30, sinrUpDb: 28 }],
    down: [{ term: "signal", db: downDbm }],
    up: [{ term: "signal", db: downDbm }],
  };
}

/** A network that answers by a function, and notes what it was asked. */
export interface FakeNetwork extends AnsweringNetwork {
  asked: { at: LonLat; change: PlaceQuestion }[];
}

export function createFakeNetwork(
  answer: (at: LonLat, change: PlaceQuestion) => Answer,
  { request = createSmallRequest(), cpes = {} }: { request?: CoverageRequest; cpes?: Record<string, CpeSpec> } = {},
): FakeNetwork {
  const asked: FakeNetwork["asked"] = [];
  return {
    request,
    cpes: new Map(Object.entries(cpes)),
    asked,
    async ask(at, change = {}) {
      asked.push({ at, change });
      const whole = answer(at, change);
      const { sectors } = change;
      return sectors ? { ...whole, links: whole.links.filter(({ sector }) => sectors.includes(sector)) } : whole;
    },
  };
}
