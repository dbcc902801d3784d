import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { buildAdvice } from "./advice.ts";
import { drawSmallProblem } from "./testing/small-problem.ts";

const plans = [
  { id: "p100", downMbps: 100, upMbps: 20, oversubscription: 8 },
  { id: "p25", downMbps: 25, upMbps: 5, oversubscription: 8 },
];
const traffic = Array(4).fill({ greatestUtilisation: 0.8, growthPerMonth: 0.02 });
const centresMhz = [5180, 5500, 5745];
const problemOf = (seed: number) =>
  drawSmallProblem({ sectors: 4, centresMhz, points: 60, random: createSeededRandom(seed) });

describe("advice", () => {
  it("gains over a plan that has every sector on one channel, in every one of 20 networks", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const advice = buildAdvice(problemOf(seed), plans, { traffic });
      expect(advice.rateFactor).toBeGreaterThan(1);
      expect(advice.changes).toBeGreaterThan(0);
      expect(advice.today.overlaps).toEqual([
        ["s0", "s1"],
        ["s2", "s3"],
      ]);
    }
  });

  it("tells what interference costs: capacity under load is never more than without, and never less by choice", () => {
    for (const { capacity } of buildAdvice(problemOf(3), plans, { traffic }).sectors) {
      for (const { unloaded, loaded } of [capacity.today, capacity.chosen]) {
        expect(unloaded.cutOff).toBeLessThanOrEqual(loaded.cutOff);
        if (unloaded.cutOff === loaded.cutOff) expect(loaded.downMbps).toBeLessThanOrEqual(unloaded.downMbps);
      }
      expect(capacity.chosen.loaded.cutOff).toBeLessThanOrEqual(capacity.today.loaded.cutOff);
    }
  });

  it("is plain data, the same every time", () => {
    const advice = buildAdvice(problemOf(5), plans, { seed: 2, traffic });
    expect(JSON.parse(JSON.stringify(advice))).toEqual(advice);
    expect(buildAdvice(problemOf(5), plans, { seed: 2, traffic })).toEqual(advice);
  });

  it("has no numbers for a sector without subscribers, names refused channels, and leaves fixed sectors alone", () => {
    const problem = problemOf(6);
    const [empty, fixed] = problem.sectors;
    const none = new Float64Array(0);
    empty.points = { count: 0, levelMw: none, upMw: none, margin: none, worstUpMw: Infinity, plan: new Uint8Array(0) };
    empty.uses[2].refusal = "not in this band";
    fixed.mayChange = false;
    const { sectors } = buildAdvice(problem, plans, { traffic });
    expect(sectors[0]).toMatchObject({ places: 0, today: { sinrDownDb: null, sinrUpDb: null } });
    expect(sectors[0].refused).toEqual([{ channel: { centreMhz: 5745, widthMhz: 20 }, reason: "not in this band" }]);
    expect(sectors[1].chosen.channel).toEqual(sectors[1].today.channel);
    expect(sectors[1].ranking).toEqual([]);
  });
});
