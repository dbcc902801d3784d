import { createSeededRandom } from "@fellmark/testkit";
import { toMilliwatts } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { type AdviceProblem, type ChannelPlan, isDfsChannel, readTodaysPlan } from "./advice-problem.ts";
import { gradeRate } from "./graded-rate.ts";
import { listPlanOverlaps } from "./overlaps.ts";
import { computeP10, findLowestTenth } from "./p10.ts";
import { rankChannels } from "./rank-channels.ts";
import { drawSmallProblem } from "./testing/small-problem.ts";

const centresMhz = [5180, 5500, 5520, 5745];
const problemOf = (seed: number, sectors = 4): AdviceProblem =>
  drawSmallProblem({ sectors, centresMhz, points: 50, random: createSeededRandom(seed) });
const planOf = (...channels: number[]): ChannelPlan => Int16Array.from(channels);

describe("the 10th percentile", () => {
  it("is what nine tenths have at least", () => {
    expect(findLowestTenth(Float64Array.from({ length: 21 }, (_, index) => 21 - index))).toBe(3);
    const random = createSeededRandom(1);
    for (let length = 1; length < 200; length++) {
      const values = Float64Array.from({ length }, () => Math.floor(20 * random()));
      expect(findLowestTenth(values.slice())).toBe(values.sort()[Math.floor((length - 1) / 10)]);
    }
  });

  it("of two equal interferers on one channel with no noise is 0 dB less 3 dB", () => {
    const problem = drawSmallProblem({ sectors: 3, centresMhz: [5180], points: 20, random: createSeededRandom(1) });
    const [victim] = problem.sectors;
    for (let point = 0; point < victim.points.count; point++) {
      for (let source = 0; source < 3; source++) victim.points.levelMw[3 * point + source] = 1;
    }
    victim.site = "alone";
    victim.points.margin.fill(1);
    expect(computeP10(problem, readTodaysPlan(problem), 0).sinrDownDb).toBeCloseTo(-10 * Math.log10(2), 6);
  });

  it("never rises with more noise (law, 20 networks)", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const problem = problemOf(seed);
      const before = computeP10(problem, readTodaysPlan(problem), 0);
      for (const use of problem.sectors[0].uses) {
        use.noiseDownMw *= 2;
        use.noiseUpMw *= 2;
      }
      const after = computeP10(problem, readTodaysPlan(problem), 0);
      for (const name of ["sinrDownDb", "sinrUpDb", "downMbps", "upMbps"] as const) {
        expect(after[name]).toBeLessThanOrEqual(before[name]);
      }
    }
  });

  it("shows the damage of a neighbour that is not synchronised: its base sends into the uplink", () => {
    const problem = problemOf(2);
    const plan = planOf(0, 3, 1, 1);
    const before = computeP10(problem, plan, 0);
    problem.sectors[0].baseOnUp[1] = 0.75;
    const after = computeP10(problem, plan, 0);
    // -40 dBm through 55 dB of channel distance is equal to the noise of -95 dBm: 1.75 of it, against 1.
    expect(before.sinrUpDb - after.sinrUpDb).toBeGreaterThan(1);
    expect(after.sinrDownDb).toBe(before.sinrDownDb);
  });
});

describe("the ranking of channels", () => {
  it("falls, holds every channel that the sector may use, and counts co-channel overlaps", () => {
    const problem = problemOf(4);
    problem.sectors[0].uses[3].refusal = "not in this band";
    const ranked = rankChannels(problem, planOf(0, 0, 1, 3), 0);
    expect(ranked.map(({ channel }) => channel).sort()).toEqual([0, 1, 2]);
    expect(ranked.map(({ score }) => score)).toEqual(ranked.map(({ score }) => score).sort((a, b) => b - a));
    expect(ranked.find(({ channel }) => channel === 0)?.overlaps).toBe(1);
    expect(ranked.find(({ channel }) => channel === 1)?.overlaps).toBe(0);
    expect(listPlanOverlaps(problem, planOf(0, 0, 1, 3))).toEqual([[0, 1]]);
  });

  it("puts the channel of a strong external emitter last", () => {
    const problem = drawSmallProblem({
      sectors: 1,
      centresMhz,
      points: 50,
      emitters: 1,
      random: createSeededRandom(6),
    });
    const ofEmitter = problem.sectors[0].emitterCoupling.indexOf(1);
    const { levelMw, count } = problem.sectors[0].points;
    for (let point = 0; point < count; point++) levelMw[2 * point + 1] = toMilliwatts(-70);
    expect(rankChannels(problem, planOf(0), 0).at(-1)?.channel).toBe(ofEmitter);
  });

  it("names a clear channel to leave to for each radar channel, or none", () => {
    const problem = problemOf(8, 1);
    const fallbackOf = (channel: number) =>
      rankChannels(problem, planOf(0), 0).find((ranked) => ranked.channel === channel)?.fallback;
    expect(fallbackOf(0)).toBeNull();
    expect(fallbackOf(1)).toBe(0);
    for (const channel of [0, 2, 3]) problem.sectors[0].uses[channel].noiseUpMw *= 1e4;
    expect(fallbackOf(1)).toBeNull();
  });
});

// Bands of ETSI EN 301 893 and 47 CFR 15.407(h): 5250 to 5350 and 5470 to 5725 MHz.
it.each([
  [5240, 20, false],
  [5250, 40, true],
  [5340, 20, true],
  [5460, 20, false],
  [5480, 20, true],
  [5715, 20, true],
  [5735, 20, false],
])("%i MHz, %i MHz wide: radar %s", (centreMhz, widthMhz, isDfs) => {
  expect(isDfsChannel({ centreMhz, widthMhz })).toBe(isDfs);
});

it("grades rates between the steps of the table and never beyond its ends", () => {
  const steps = { sinr: Float64Array.of(1, 100), netMbps: Float64Array.of(10, 30) };
  expect([0.5, 1, 10, 100, 1000].map((value) => gradeRate(steps, value))).toEqual([5, 10, 20, 30, 30]);
});
