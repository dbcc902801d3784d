import { createMastPath, findStatedClutter } from "@fellmark/coverage";
import { findGeodesicPoint } from "@fellmark/geodesy";
import { parseCoverageRequest } from "@fellmark/network";
import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { type Answer, answerPlace } from "../place/answer.ts";
import { planRoute } from "../reception/route.ts";
import { findView } from "../scene/cpe-view.ts";
import { createScene } from "../scene/prepare-answers.ts";

/** A mast on a plain, with another 6 km east of it. */
const SITES = [
  { id: "mast", lon: -30, lat: 12 },
  { id: "east", ...pointFrom({ lon: -30, lat: 12 }, 90, 6000) },
];

/** 3GPP TR 38.901 table 7.3-1: 12 (phi / 65)^2 dB off the peak, 30 dB at most. */
const elementDb = (offDeg: number) => Math.min(30, 12 * (offDeg / 65) ** 2);

interface Sector {
  site?: string;
  azimuthDeg: number;
  [field: string]: unknown;
}

interface Scene {
  sectors: Sector[];
  emitters?: object[];
  cpe?: object;
  model?: object;
  noiseFigureDb?: number;
}

function requestOf({ sectors, emitters = [], cpe = {}, model = {}, noiseFigureDb = 6 }: Scene) {
  return parseCoverageRequest({
    version: 1,
    area: { radiusM: 10_000, zoom: 12 },
    model: { clutter: { class: "open", heightM: 0 }, obstacleCapDb: null, ...model },
    sites: SITES,
    antennas: [
      { id: "element", kind: "tr38901" },
      { id: "cpe", kind: "isotropic", gainDbi: 20 },
    ],
    radios: [{ id: "r", table: "802.11ax", noiseFigureDb }],
    sectors: sectors.map((sector, index) => ({
      ...{ id: `s${index}`, site: "mast", antenna: "element", radio: "r", heightAglM: 40, powerDbm: 25 },
      ...{ channel: { centreMhz: 5800, widthMhz: 20 } },
      ...sector,
    })),
    cpe: { antenna: "cpe", radio: "r", heightAglM: 20, powerDbm: 25, ...cpe },
    plans: [{ id: "p", downMbps: 20, upMbps: 5 }],
    emitters,
  });
}

function pointFrom(from: { lon: number; lat: number }, azimuthDeg: number, distanceM: number) {
  return findGeodesicPoint(from, azimuthDeg, distanceM);
}

/** The answer at a place on the plain, given from the first mast. */
function answerAt(scene: Scene, azimuthDeg: number, distanceM: number): Answer {
  const request = requestOf(scene);
  const at = pointFrom(SITES[0], azimuthDeg, distanceM);
  const ends = findStatedClutter(request.model);
  const prepared = createScene(request, () => ends, null);
  const routes = prepared.stations.map((station) => {
    const lengthM = Math.max(1, metresBetween(station.place, at));
    const distances = Float64Array.from({ length: 64 }, (_, index) => (lengthM * index) / 63);
    return planRoute(station, createMastPath(distances, new Float64Array(64), { from: station.place, to: at }), true);
  });
  return answerPlace(findView(prepared), { at, routes, far: null, clutter: ends.cpe, isClutterKnown: true, roofM: 0 });
}

function metresBetween(a: { lon: number; lat: number }, b: { lon: number; lat: number }): number {
  return Math.hypot((a.lat - b.lat) * 110_600, (a.lon - b.lon) * 108_900);
}

function linkOf(answer: Answer, sector: string) {
  const link = answer.links.find((candidate) => candidate.sector === sector);
  if (!link) throw new Error(`no link to ${sector}`);
  return link;
}

const term = (terms: { term: string; db: number }[], name: string) => terms.find((one) => one.term === name)?.db ?? 0;

const emitter = (change: object) => ({
  ...{ id: "e", ...pointFrom(SITES[0], 0, 3000), heightAglM: 30, eirpDbm: 30 },
  ...{ channel: { centreMhz: 5800, widthMhz: 20 } },
  ...change,
});

describe("interference at a place", () => {
  it("of a synchronised sector on the same mast and channel: C/I is the difference of the gains, at any distance", () => {
    const strong = { powerDbm: 40, channel: { centreMhz: 5800, widthMhz: 20 } };
    const sectors = [
      { azimuthDeg: 0, ...strong },
      { azimuthDeg: 90, ...strong },
    ];
    const scene = { sectors, noiseFigureDb: 0 };
    const random = createSeededRandom(4);
    for (let place = 0; place < 40; place++) {
      const azimuthDeg = 10 + 25 * random();
      const link = linkOf(answerAt(scene, azimuthDeg, 300 + 3000 * random()), "s0");
      // What thermal noise adds to the interferer is taken off again: only C/I is compared.
      const signalMw = 10 ** (term(link.down, "signal") / 10);
      const noiseMw = 10 ** (-term(link.down, "noise") / 10);
      const interferenceMw = signalMw / 10 ** (link.sinrDownDb / 10) - noiseMw;
      const ratioDb = 10 * Math.log10(signalMw / interferenceMw);
      expect(Math.abs(ratioDb - (elementDb(90 - azimuthDeg) - elementDb(azimuthDeg)))).toBeLessThan(0.01);
    }
  });

  it("of two equal dominant interferers costs 3 dB more than of one", () => {
    const victim = { azimuthDeg: 0 };
    const loud = { azimuthDeg: 45, powerDbm: 40 };
    const one = linkOf(answerAt({ sectors: [victim, loud] }, 0, 1500), "s0");
    const two = linkOf(answerAt({ sectors: [victim, loud, loud] }, 0, 1500), "s0");
    expect(one.sinrDownDb - two.sinrDownDb).toBeCloseTo(10 * Math.log10(2), 2);
  });

  it("of an emitter 30 dB under the floor costs less than 0.01 dB; in the next channel beside the mast it shows", () => {
    const sectors = [{ azimuthDeg: 0 }];
    const quiet = linkOf(answerAt({ sectors }, 0, 4000), "s0");
    const faint = linkOf(answerAt({ sectors, emitters: [emitter({ eirpDbm: -40 })] }, 0, 4000), "s0");
    expect(quiet.sinrDownDb - faint.sinrDownDb).toBeLessThan(0.01);
    const next = emitter({ ...SITES[0], id: "e", eirpDbm: 50, channel: { centreMhz: 5820, widthMhz: 20 } });
    const beside = linkOf(answerAt({ sectors, emitters: [next] }, 0, 4000), "s0");
    expect(quiet.sinrDownDb - beside.sinrDownDb).toBeGreaterThan(1);
  });

  it("never helps: more of it, or more power of another sector, never raises a SINR or a rate", () => {
    const random = createSeededRandom(9);
    for (let trial = 0; trial < 30; trial++) {
      const [azimuthDeg, distanceM] = [360 * random(), 500 + 6000 * random()];
      const at = (eirpDbm: number, otherDbm: number, load: number) => {
        const sectors = [{ azimuthDeg: 0 }, { azimuthDeg: 200, site: "east", powerDbm: otherDbm, load }];
        return linkOf(answerAt({ sectors, emitters: [emitter({ eirpDbm })] }, azimuthDeg, distanceM), "s0");
      };
      const calm = at(0, 10, 0.5);
      for (const worse of [at(20, 10, 0.5), at(0, 30, 0.5), at(0, 10, 1)]) {
        expect(worse.sinrDownDb).toBeLessThanOrEqual(calm.sinrDownDb + 1e-9);
        expect(worse.downMbps).toBeLessThanOrEqual(calm.downMbps);
      }
    }
  });

  it("of an emitter that sends half the time leaves the mean of both rates", () => {
    const sectors = [{ azimuthDeg: 0 }];
    const rateAt = (emitters: object[]) => linkOf(answerAt({ sectors, emitters }, 0, 4000), "s0").downMbps;
    const half = rateAt([emitter({ activity: 0.5 })]);
    expect(half).toBeCloseTo((rateAt([]) + rateAt([emitter({})])) / 2, 6);
    expect(half).toBeLessThan(rateAt([]));
  });
});

describe("feeder loss", () => {
  const at = (feederLossDb: number, rule: string | null) =>
    linkOf(answerAt({ sectors: [{ azimuthDeg: 0, powerDbm: 30, feederLossDb, rule }] }, 0, 3000), "s0");

  it("weakens both directions of a sector that is limited by its power", () => {
    expect(at(0, null).sinrDownDb - at(2, null).sinrDownDb).toBeCloseTo(2, 9);
    expect(at(0, null).sinrUpDb - at(2, null).sinrUpDb).toBeCloseTo(2, 9);
  });

  it("weakens only the uplink of a sector that is limited by its EIRP", () => {
    const rule = "etsi-5725-5875";
    expect(at(0, rule).sinrDownDb - at(1, rule).sinrDownDb).toBeCloseTo(0, 9);
    expect(at(0, rule).sinrUpDb - at(1, rule).sinrUpDb).toBeCloseTo(1, 9);
  });
});

describe("the pattern behind obstacles", () => {
  it("fills the back of an antenna by the cap of the path's class", () => {
    const capped = linkOf(
      answerAt(
        { sectors: [{ azimuthDeg: 180 }], model: { obstacleCapDb: { clear: 20, grazing: 20, blocked: 15 } } },
        0,
        3000,
      ),
      "s0",
    );
    // 8 dBi at the peak; behind, 30 dB less and what obstacles scatter, 20 dB under the peak, sum as powers.
    expect(term(capped.down, "antenna")).toBeCloseTo(10 * Math.log10(10 ** -2.2 + 10 ** -1.2), 6);
  });
});
