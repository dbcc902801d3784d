import { seededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { evenPath, type MastPath, mastPath, pathLoss } from "./mast-path.ts";
import { lossOf, sightOf } from "./path-sight.ts";

const EARTH_M = (4 / 3) * 6_371_000;
const AZIMUTHS = { azimuthDeg: 0, backAzimuthDeg: 180 };

/** Ridges of some seed over `count` points. */
function hills(count: number, random: () => number): Float64Array {
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

function worstOf(pathFrom: (random: () => number) => MastPath): {
  worst: Record<string, number>;
  classes: Set<string>;
} {
  const random = seededRandom(11);
  const worst = { dB: 0, degrees: 0, clearance: 0 };
  const classes = new Set<string>();
  for (let count = 0; count < 2000; count++) {
    const path = pathFrom(random);
    const [mastM, cpeM, frequencyGhz] = [5 + 60 * random(), 2 + 20 * random(), 2.4 + 4.7 * random()];
    const setup = { mastHeightAglM: mastM, frequencyGhz, effectiveEarthRadiusM: EARTH_M };
    const literal = pathLoss(path, setup, cpeM);
    const sight = sightOf(path, { mastM, cpeM }, EARTH_M);
    const loss = lossOf(sight, frequencyGhz, EARTH_M);
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
    const { worst, classes } = worstOf((random) => {
      const count = 3 + Math.floor(600 * random());
      return evenPath(200 + 60_000 * random(), hills(count, random), AZIMUTHS);
    });
    expect(classes.size).toBe(3);
    expect(worst.dB).toBeLessThan(1e-9);
    expect(worst.degrees).toBeLessThan(1e-9);
    expect(worst.clearance).toBeLessThan(1e-9);
  });

  it("gives what the literal method gives, at uneven steps", () => {
    const { worst, classes } = worstOf((random) => {
      const heights = hills(40, random);
      const at = Float64Array.from(heights, (_, index) => (index === 0 ? 0 : 800 * (index + 0.8 * random())));
      return mastPath(at, heights, null);
    });
    expect(classes.size).toBe(3);
    expect(worst.dB).toBeLessThan(1e-9);
    expect(worst.degrees).toBeLessThan(1e-9);
  });
});
