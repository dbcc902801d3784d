import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { computeFreeSpaceLossDb } from "../path/free-space.ts";
import { computePathLoss } from "../path/path-loss.ts";
import { computeSightLoss, createFreeSight, findPathSight } from "./path-sight.ts";
import { createEvenWeights, createWeights } from "./path-weights.ts";
import { createWalkedPath, toPathProfile, type WalkedPath } from "./walked-path.ts";

const EARTH_M = (4 / 3) * 6_371_000;

/** Hills of some seed over `count` points. */
function createHills(count: number, random: () => number): Float64Array {
  const steepness = random() ** 3;
  const waves = Array.from({ length: 5 }, () => ({
    heightM: 250 * steepness * random(),
    turns: 20 * random(),
    phase: 6 * random(),
  }));
  return Float64Array.from({ length: count }, (_, at) =>
    waves.reduce((sum, { heightM, turns, phase }) => sum + heightM * Math.sin((turns * at) / count + phase), 300),
  );
}

/** Trees of up to 25 m on a third of the points, none on the ends. */
function addTrees(bareAmslM: Float64Array, random: () => number): Float64Array {
  return bareAmslM.map((groundM, i) =>
    i > 0 && i < bareAmslM.length - 1 && random() < 0.3 ? groundM + 25 * random() : groundM,
  );
}

function findWorst(createPath: (random: () => number) => WalkedPath) {
  const random = createSeededRandom(11);
  const worst = { dB: 0, degrees: 0, clearance: 0 };
  const classes = new Set<string>();
  for (let count = 0; count < 2000; count++) {
    const path = createPath(random);
    const heights = { txHeightAglM: 5 + 60 * random(), rxHeightAglM: 2 + 20 * random() };
    const setup = { ...heights, frequencyGhz: 2.4 + 4.7 * random(), effectiveEarthRadiusM: EARTH_M };
    const literal = computePathLoss({ profile: toPathProfile(path), ...setup });
    const sight = findPathSight(path, heights, EARTH_M);
    const loss = computeSightLoss(sight, setup.frequencyGhz, EARTH_M);
    const { geometry } = literal;
    classes.add(loss.class);
    expect(loss.class).toBe(geometry.class);
    const dB = Math.abs(loss.diffractionDb - literal.diffractionDb) + Math.abs(loss.freeSpaceDb - literal.freeSpaceDb);
    const up = Math.abs(sight.departureElevationDeg - geometry.departureElevationDeg);
    const down = Math.abs(sight.arrivalElevationDeg - geometry.arrivalElevationDeg);
    worst.dB = Math.max(worst.dB, dB);
    worst.degrees = Math.max(worst.degrees, up, down);
    worst.clearance = Math.max(worst.clearance, Math.abs(loss.fresnelClearance - geometry.fresnelClearance));
  }
  return { worst, classes };
}

describe("one walk over a path", () => {
  it("gives what the literal method gives, at equal steps", () => {
    const { worst, classes } = findWorst((random) => {
      const steps = 2 + Math.floor(600 * random());
      const stepM = (200 + 60_000 * random()) / steps;
      const bareAmslM = createHills(steps + 1, random);
      return createWalkedPath({ stepM, weights: createEvenWeights(steps) }, addTrees(bareAmslM, random), bareAmslM);
    });
    expect(classes.size).toBe(3);
    expect(worst.dB).toBeLessThan(1e-9);
    expect(worst.degrees).toBeLessThan(1e-9);
    expect(worst.clearance).toBeLessThan(1e-9);
  });

  it("gives what the literal method gives, at uneven steps", () => {
    const { worst, classes } = findWorst((random) => {
      const heights = createHills(40, random);
      const at = Float64Array.from(heights, (_, index) => (index === 0 ? 0 : 800 * (index + 0.8 * random())));
      return createWalkedPath({ stepM: 1, weights: createWeights(at) }, heights, heights);
    });
    expect(classes.size).toBe(3);
    expect(worst.dB).toBeLessThan(1e-9);
    expect(worst.degrees).toBeLessThan(1e-9);
  });
});

it("has the worked ridge: free space over 10 km and 36.904 dB (independent script of the standards data)", () => {
  const bareAmslM = Float64Array.of(0, 60, 0);
  const weights = createWeights(Float64Array.of(0, 4000, 10_000));
  const path = createWalkedPath({ stepM: 1, weights }, bareAmslM, bareAmslM);
  const loss = computeSightLoss(findPathSight(path, { txHeightAglM: 30, rxHeightAglM: 10 }, EARTH_M), 5.8, EARTH_M);
  expect(loss.diffractionDb).toBeCloseTo(36.904, 3);
  expect(loss.freeSpaceDb).toBeCloseTo(127.716, 3);
  expect(loss.class).toBe("blocked");
});

it("takes a path of known length alone as free and level", () => {
  const weights = createWeights(Float64Array.of(0, 5000));
  const path = createWalkedPath({ stepM: 1, weights }, new Float64Array(2), new Float64Array(2));
  const loss = computeSightLoss(createFreeSight(path), 5.8, EARTH_M);
  expect(loss).toMatchObject({ diffractionDb: 0, class: "clear", freeSpaceDb: computeFreeSpaceLossDb(5000, 5.8) });
});
