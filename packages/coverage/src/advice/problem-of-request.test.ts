import { findGeodesicPoint } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { createPlanCache } from "@fellmark/sweep";
import { openCatalogue } from "@fellmark/terrain";
import { createInlinePool, createTempDir } from "@fellmark/testkit";
import { toDb } from "@fellmark/units";
import { afterAll, describe, expect, it } from "vitest";
import { findCellOfPlace } from "../comparison/places.ts";
import { computeCoverage } from "../coverage.ts";
import type { StripRasters } from "../layers/layer-job.ts";
import { buildPlainRequest, MIDDLE, writePlainWorld } from "../testing/plain-world.ts";
import { buildAdviceProblem } from "./problem-of-request.ts";

const folder = createTempDir();
writePlainWorld(folder.path, () => 100);
const catalogue = await openCatalogue(folder.path);
afterAll(() => folder.remove());
const engine = { pool: createInlinePool(), plans: createPlanCache(2 ** 20) };

const CHANNELS = [5600, 5640].map((centreMhz) => ({ centreMhz, widthMhz: 20 as const }));
const NEAR = findGeodesicPoint(MIDDLE, 10, 300);
const FAR = findGeodesicPoint(MIDDLE, 350, 600);

/** Two masts 900 m apart that keep time; the first has two subscribers, and one far off the window. */
const request = buildPlainRequest({
  sites: [
    { id: "m", ...MIDDLE },
    { id: "n", ...findGeodesicPoint(MIDDLE, 90, 900) },
  ],
  sectors: [{ azimuthDeg: 0 }, { site: "n", azimuthDeg: 180, channel: { centreMhz: 5760, widthMhz: 20 } }],
  subscribers: [
    { id: "near", sector: "s0", plan: "fast", ...NEAR },
    { id: "far", sector: "s0", plan: "basic", ...FAR },
    { id: "lost", sector: "s0", plan: "basic", ...findGeodesicPoint(MIDDLE, 0, 30_000) },
  ],
});
const problem = await buildAdviceProblem(engine, catalogue, request, { channels: CHANNELS });
const [first, second] = problem.sectors;

/** Signal of the map at a place, dBm. */
async function readSignal(of: CoverageRequest, layer: "signalDown" | "signalUp") {
  const cells: number[] = [];
  const sink = async (_: number, rows: number, strip: StripRasters) => {
    cells.push(...strip[layer].subarray(0, (rows * strip.tier.length) / 64));
  };
  const { window } = await computeCoverage(engine, catalogue, of, sink);
  return (place: { lon: number; lat: number }) => cells[findCellOfPlace(window, place)] / 100;
}

describe("the channels of an advice", () => {
  it("are those offered, then those in use that are not", () => {
    expect(problem.channels.map(({ centreMhz, isOffered, isDfs }) => [centreMhz, isOffered, isDfs])).toEqual([
      [5600, true, true],
      [5640, true, true],
      [5760, false, false],
    ]);
    expect([first.today, second.today, problem.emitters]).toEqual([0, 2, 0]);
  });

  it("are for the sectors named, or for all", async () => {
    expect([first.mayChange, second.mayChange]).toEqual([true, true]);
    const some = await buildAdviceProblem(engine, catalogue, request, { channels: CHANNELS, sectors: ["s1"] });
    expect(some.sectors.map(({ mayChange }) => mayChange)).toEqual([false, true]);
  });

  it("scale levels by free space at equal power: 20 log10 of the frequencies", () => {
    expect(toDb(first.uses[1].downScale)).toBeCloseTo(20 * Math.log10(5600 / 5640), 6);
    expect(toDb(first.uses[1].upScale)).toBeCloseTo(20 * Math.log10(5600 / 5640), 6);
    expect([first.uses[0].downScale, second.uses[2].upScale]).toEqual([1, 1]);
    expect(first.uses[0].refusal).toBeNull();
  });

  it("couple in full where they are one, not at all 120 MHz apart", () => {
    expect([0, 1, 2].map((channel) => first.coupling[4 * channel])).toEqual([1, 1, 1]);
    expect(first.coupling[1]).toBeLessThan(0.01);
    expect(first.emitterCoupling).toHaveLength(0);
  });
});

describe("the places of an advice", () => {
  it("are a sector's subscribers on the window, with their plans and the levels of the map", async () => {
    expect([first.points.count, [...first.points.plan]]).toEqual([2, [2, 1]]);
    const down = await readSignal(request, "signalDown");
    const up = await readSignal(request, "signalUp");
    // Rows go from the north: the far subscriber first.
    for (const [point, place] of [FAR, NEAR].entries()) {
      expect(Math.abs(toDb(first.points.levelMw[2 * point]) - down(place))).toBeLessThan(0.01);
      expect(Math.abs(toDb(first.points.upMw[point]) - up(place))).toBeLessThan(0.01);
      expect(first.points.margin[point]).toBeGreaterThan(0);
      expect(first.points.margin[point]).toBeLessThan(1);
    }
  });

  it("are cells that a sector serves where it has no subscribers: no plan of theirs", () => {
    expect(second.points.count).toBeGreaterThan(80);
    expect(new Set(second.points.plan)).toEqual(new Set([0]));
    const floor = second.points.worstUpMw;
    const marginedMw = second.points.upMw.map((mw, point) => mw * second.points.margin[point]);
    const share = marginedMw.filter((mw) => mw >= floor).length / second.points.count;
    expect(share).toBeGreaterThanOrEqual(0.9);
    expect(share).toBeLessThan(0.92);
  });

  it("leave out cells that could not be served on any channel", async () => {
    const dear = { ...request, plans: request.plans.map((plan) => ({ ...plan, downMbps: 5000 })) };
    const { sectors } = await buildAdviceProblem(engine, catalogue, dear, { channels: CHANNELS });
    expect(sectors.map(({ points }) => points.count)).toEqual([2, 0]);
  });
});

describe("what sectors of an advice bring one another", () => {
  it("is their subscribers while they keep time, their bases too while they do not", async () => {
    expect([...first.baseMw]).toEqual([0, 0]);
    expect(first.subscriberMw[1]).toBeGreaterThan(0);
    const apart = { ...request, sectors: request.sectors.map((one, i) => ({ ...one, timingGroup: `group ${i}` })) };
    const { sectors } = await buildAdviceProblem(engine, catalogue, apart, { channels: CHANNELS });
    expect(sectors[0].baseMw[1]).toBeGreaterThan(0);
    expect(sectors[0].baseOnUp[1]).toBeGreaterThan(0);
  });

  it("is weighted by the uplink speed of the subscribers' plans, mW", async () => {
    const meanOf = async (...ids: string[]) => {
      const some = { ...request, subscribers: request.subscribers.filter(({ id }) => ids.includes(id)) };
      return (await buildAdviceProblem(engine, catalogue, some, { channels: CHANNELS })).sectors[1].subscriberMw[0];
    };
    const [near, far] = [await meanOf("near"), await meanOf("far")];
    expect(near).not.toBe(far);
    // Plans of 10 and 4 Mbit/s up.
    expect(second.subscriberMw[0]).toBeCloseTo((10 * near + 4 * far) / 14, 20);
  });

  it("is an emitter's level by the share of time that it is on", async () => {
    const emitter = {
      ...{ id: "e", ...findGeodesicPoint(MIDDLE, 0, 2000), heightAglM: 20, eirpDbm: 30 },
      channel: { centreMhz: 5600, widthMhz: 20 },
    };
    const levelOf = async (activity: number) => {
      const beside = buildPlainRequest({ emitters: [{ ...emitter, activity }] });
      return (await buildAdviceProblem(engine, catalogue, beside, { channels: CHANNELS })).sectors[0].emitterMw[0];
    };
    const full = await levelOf(1);
    expect(await levelOf(0.25)).toBeCloseTo(full / 4, 15);
    // Free space over 2 km at 5.6 GHz 113.4 dB, 8 dBi ahead (TR 38.901); half of the power in each polarisation.
    expect(Math.abs(toDb(full) - (30 - 113.4 + 8 - 3))).toBeLessThan(1.5);
  });
});
