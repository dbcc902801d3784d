import { createSeededRandom } from "@fellmark/testkit";
import { MEAN_EARTH_RADIUS_KM, RAD_PER_DEG } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { computeLinkFadeDb, findCpeAmslM } from "../link/fade.ts";
import { type FadeCell, readFadeDb, tabulateFade } from "./fade-table.ts";
import { drawNetwork } from "./testing/seeded-network.ts";

const FREQUENCY_GHZ = 5.6;

function modelOf(fading: object, availability = 0.9999) {
  const traits = { seed: 1, chains: 2, comesAndGoes: false, emitters: 0, sites: 1 } as const;
  return drawNetwork({ ...traits, model: { fading, availability } }).request.model;
}

/** Elevations of the straight line between two antennas, degrees. */
function findRays(distanceM: number, mastAmslM: number, cpeAmslM: number) {
  const sinks = distanceM / ((8 / 3) * MEAN_EARTH_RADIUS_KM * 1000);
  const slope = (cpeAmslM - mastAmslM) / distanceM;
  const elevationDeg = (tangent: number) => Math.atan(tangent) / RAD_PER_DEG;
  return {
    ...{ distanceM, mastAmslM },
    departureElevationDeg: elevationDeg(slope - sinks),
    arrivalElevationDeg: elevationDeg(-slope - sinks),
  };
}

function toCell({ distanceM, mastAmslM, departureElevationDeg, arrivalElevationDeg }: ReturnType<typeof findRays>) {
  return {
    ...{ distanceKm: distanceM / 1000, mastAmslM },
    departureSine: Math.sin(departureElevationDeg * RAD_PER_DEG),
    arrivalSine: Math.sin(arrivalElevationDeg * RAD_PER_DEG),
  } satisfies FadeCell;
}

describe("the margin of a cell against fading", () => {
  it("is 9.2 dB by P.530 between antennas at 61 and 37 m, 10 km apart, and 16.4 dB where both lie at the sea", () => {
    const table = tabulateFade(modelOf({ rule: "p530" }), FREQUENCY_GHZ, 20);
    expect(readFadeDb(table, toCell(findRays(10_000, 61, 37)))).toBeCloseTo(9.2, 1);
    expect(readFadeDb(table, toCell(findRays(10_000, 37, 61)))).toBeCloseTo(9.2, 1);
    expect(readFadeDb(table, toCell(findRays(10_000, 0, 0)))).toBeCloseTo(16.39, 1);
  });

  it.each<[string, object, number]>([
    ["P.530 without rain", { rule: "p530" }, 0.01],
    ["P.530 with rain", { rule: "p530", rainMmPerHour: 60 }, 0.3],
    ["P.530 without rain, 12 dB at the least", { rule: "p530", leastMarginDb: 12 }, 0.01],
    ["Vigants and Barnett", { rule: "vigants-barnett", rainMmPerHour: 60 }, 0.02],
  ])("is that of the link itself, over 300 seeded paths: %s", (_name, fading, toleranceDb) => {
    const model = modelOf(fading);
    const table = tabulateFade(model, FREQUENCY_GHZ, 30);
    const random = createSeededRandom(3);
    const margins = new Set<number>();
    for (let tried = 0; tried < 300; tried++) {
      const rays = findRays(1000 + 29_000 * random(), 300 * random(), 300 * random());
      if (tried % 3 === 0) rays.arrivalElevationDeg += 3 * random();
      const { distanceM, mastAmslM } = rays;
      const heights = { txAmslM: mastAmslM, rxAmslM: findCpeAmslM(model, rays) };
      const literalDb = computeLinkFadeDb(model, { distanceM, frequencyGhz: FREQUENCY_GHZ, ...heights });
      expect(Math.abs(readFadeDb(table, toCell(rays)) - literalDb)).toBeLessThan(toleranceDb);
      expect(literalDb).toBeGreaterThanOrEqual(model.fading.leastMarginDb);
      margins.add(Math.round(literalDb));
    }
    expect(margins.size).toBeGreaterThan(10);
  });
});

describe("the height of a CPE by the rays of its path", () => {
  const model = modelOf({});

  it("is its own in line of sight", () => {
    expect(findCpeAmslM(model, findRays(10_000, 61, 37))).toBeCloseTo(37, 6);
    expect(findCpeAmslM(model, findRays(3000, 20, 140))).toBeCloseTo(140, 6);
  });

  it("is the nearest to that of the mast which an obstacle leaves possible", () => {
    const rays = findRays(10_000, 61, 37);
    expect(findCpeAmslM(model, { ...rays, departureElevationDeg: 1, arrivalElevationDeg: 3 })).toBe(61);
    // The mast sees its horizon 100 m below the level at the CPE: so low stands the CPE at most.
    const low = findRays(10_000, 161, 61);
    expect(findCpeAmslM(model, { ...low, arrivalElevationDeg: 3 })).toBeCloseTo(61, 6);
  });
});
