import { createSeededRandom } from "@fellmark/testkit";
import { computeWavelengthM } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { computeDeltaBullington } from "../diffraction/delta-bullington.ts";
import { measureCanopyLengthM } from "./canopy-length.ts";
import type { AntennaLine, CoveredProfile } from "./covered-profile.ts";
import { computeWoodedPathLossDb } from "./joined-losses.ts";
import { computeVegetationLossDb } from "./vegetation.ts";

const FOUR_THIRDS_M = 6_371_000 * (4 / 3);

/** Points as [distance, ground, canopy, building], m. */
type Point = [number, number, number?, number?];

function profileOf(points: readonly Point[]): CoveredProfile {
  const column = (of: (point: Point) => number) => Float64Array.from(points, of);
  return {
    distanceM: column(([distanceM]) => distanceM),
    groundAmslM: column(([, groundM]) => groundM),
    canopyHeightM: column(([, , canopyM]) => canopyM ?? 0),
    buildingHeightM: column(([, , , buildingM]) => buildingM ?? 0),
  };
}

/** A thin ray over a flat Earth, so that lengths can be worked out on paper. */
function thinRay(txAmslM: number, rxAmslM: number): AntennaLine {
  return { txAmslM, rxAmslM, effectiveEarthRadiusM: Number.POSITIVE_INFINITY, wavelengthM: 0 };
}

describe("the length of a ray in trees", () => {
  it("is the part below their tops: a ray from 10 to 40 m over 300 m is under 20 m for 100 m of ground", () => {
    const wood = profileOf([
      [0, 0, 20],
      [150, 0, 20],
      [300, 0, 20],
    ]);
    expect(measureCanopyLengthM(wood, thinRay(10, 40))).toBeCloseTo(100 * Math.sqrt(1.01), 9);
  });

  it("counts trees of 30 m on a slope where they reach a level ray at 60 m: where the ground is over 30 m", () => {
    const slope = profileOf([
      [0, 0, 30],
      [200, 40, 30],
      [400, 0, 30],
    ]);
    expect(measureCanopyLengthM(slope, thinRay(60, 60))).toBeCloseTo(100, 9);
  });

  it("counts trees between two points by straight lines: a single tree of 20 m, ray at 10 m, half of either step", () => {
    const tree = profileOf([
      [0, 0],
      [100, 0],
      [130, 0, 20],
      [160, 0],
      [300, 0],
    ]);
    expect(measureCanopyLengthM(tree, thinRay(10, 10))).toBeCloseTo(30, 9);
  });

  it("starts where trees enter 60 % of the first Fresnel zone: 881.9 m of a kilometre of tops 1 m below the ray", () => {
    // 0.6 sqrt(0.05 d (1000 - d) / 1000) = 1 where d = 500 -+ sqrt(250000 - 55555.6) = 500 -+ 440.96.
    const points = Array.from({ length: 1001 }, (_, i): Point => [i, 0, 9]);
    const line = { ...thinRay(10, 10), wavelengthM: 0.05 };
    expect(measureCanopyLengthM(profileOf(points), line)).toBeCloseTo(881.9, 0);
    expect(measureCanopyLengthM(profileOf(points), thinRay(10, 10))).toBe(0);
  });

  it("follows the horizon lines over a hill: 5 m of trees on its flanks, in the ray for 5/18 of 100 m either side", () => {
    // Antennas at 10 m, hill of 20 m midway: the ray is at 18 m over the foot of the hill at 400 m, at 20 m on the top.
    const hill: Point[] = [
      [0, 0],
      [400, 0, 5],
      [500, 20, 5],
      [600, 0, 5],
      [1000, 0],
    ];
    const expected = 2 * (5 / 18) * Math.hypot(100, 2);
    expect(measureCanopyLengthM(profileOf(hill), thinRay(10, 10))).toBeCloseTo(expected, 9);
  });

  it("does not penetrate a building: the ray passes over its roof, and over the trees behind it", () => {
    const trees: Point[] = [
      [0, 0],
      [800, 0],
      [820, 0, 12],
      [840, 0, 12],
      [860, 0],
      [1000, 0],
    ];
    const behindHouse = trees.with(1, [800, 0, 0, 25]);
    expect(measureCanopyLengthM(profileOf(trees), thinRay(10, 10))).toBeCloseTo(20 + 2 * (20 / 6), 9);
    expect(measureCanopyLengthM(profileOf(behindHouse), thinRay(10, 10))).toBe(0);
  });

  it("grows with the bulge of the Earth: 2.943 m midway over 14.142 km on the 4/3 Earth, tops 2 m below the line", () => {
    const points = Array.from({ length: 101 }, (_, i): Point => [i * 141.42, 0, 8]);
    const overEarth = { ...thinRay(10, 10), effectiveEarthRadiusM: FOUR_THIRDS_M };
    // d (D - d) / (2 a) = 2 where d = D/2 -+ sqrt(D^2/4 - 4 a) = D/2 -+ 4002.6 m.
    const [pathM, fourRadii] = [14142, 4 * FOUR_THIRDS_M];
    expect(measureCanopyLengthM(profileOf(points), overEarth)).toBeCloseTo(
      2 * Math.sqrt(pathM ** 2 / 4 - fourRadii),
      -1,
    );
  });

  it("is not known where one height is not, and 0 between two antennas with nothing between", () => {
    expect(
      measureCanopyLengthM(
        profileOf([
          [0, 0],
          [50, 0, Number.NaN],
          [100, 0],
        ]),
        thinRay(10, 10),
      ),
    ).toBeNaN();
    expect(
      measureCanopyLengthM(
        profileOf([
          [0, 0],
          [100, 0],
        ]),
        thinRay(10, 10),
      ),
    ).toBe(0);
  });
});

function seededPath(seed: number): { profile: CoveredProfile; line: AntennaLine } {
  const random = createSeededRandom(seed);
  const points = Array.from({ length: 40 }, (_, i): Point => {
    const canopyM = random() < 0.5 ? 25 * random() : 0;
    return [i * 30, 40 * random(), canopyM, random() < 0.2 ? 12 * random() : 0];
  });
  const line = { txAmslM: 45 + 30 * random(), rxAmslM: 45 + 10 * random() };
  return { profile: profileOf(points), line: { ...line, effectiveEarthRadiusM: FOUR_THIRDS_M, wavelengthM: 0.05 } };
}

describe("over 200 seeded paths the length", () => {
  it("is the same from either end, and at most that of the ray", () => {
    for (let seed = 0; seed < 200; seed++) {
      const { profile, line } = seededPath(seed);
      const pathM = profile.distanceM[39];
      const reversed: CoveredProfile = {
        distanceM: profile.distanceM.toReversed().map((fromTxM) => pathM - fromTxM),
        groundAmslM: profile.groundAmslM.toReversed(),
        canopyHeightM: profile.canopyHeightM.toReversed(),
        buildingHeightM: profile.buildingHeightM.toReversed(),
      };
      const lengthM = measureCanopyLengthM(profile, line);
      const back = { ...line, txAmslM: line.rxAmslM, rxAmslM: line.txAmslM };
      expect(measureCanopyLengthM(reversed, back)).toBeCloseTo(lengthM, 6);
      expect(lengthM).toBeLessThan(1.2 * pathM);
    }
  });

  it("has no step where the ground is lifted into the line: a micrometre changes it by less than a millimetre", () => {
    for (let seed = 0; seed < 200; seed++) {
      const { profile, line } = seededPath(seed);
      const lifted = { ...profile, groundAmslM: profile.groundAmslM.map((groundM) => groundM + 1e-6) };
      const change = measureCanopyLengthM(lifted, line) - measureCanopyLengthM(profile, line);
      expect(Math.abs(change)).toBeLessThan(1e-3);
    }
  });
});

it("makes a CPE at 6 m, 50 m behind a wood 20 m high and 100 m deep, lose 32.3 dB over and through at 5.6 GHz", () => {
  // Mast of 30 m at 3 km. By hand: Weissberger 1.33 * 5.6^0.284 * 100^0.588 = 32.5 dB, 44.4 dB over the tops.
  const wood = profileOf([
    [0, 0],
    [2849.999, 0],
    ...Array.from({ length: 11 }, (_, i): Point => [2850 + 10 * i, 0, 20]),
    [2950.001, 0],
    [3000, 0],
  ]);
  const lambdaM = computeWavelengthM(5.6);
  const line = { txAmslM: 30, rxAmslM: 6, effectiveEarthRadiusM: FOUR_THIRDS_M, wavelengthM: lambdaM };
  const lengthM = measureCanopyLengthM(wood, line);
  expect(lengthM).toBeCloseTo(100, 1);
  const overDb = (treeShare: number) =>
    computeDeltaBullington({
      profile: {
        distanceM: wood.distanceM,
        bareAmslM: wood.groundAmslM,
        surfaceAmslM: wood.canopyHeightM.map((heightM) => treeShare * heightM),
      },
      txHeightAglM: 30,
      rxHeightAglM: 6,
      wavelengthM: lambdaM,
      frequencyGhz: 5.6,
      effectiveEarthRadiusM: FOUR_THIRDS_M,
      polarisation: "vertical",
      seaFraction: 0,
    }).lossDb;
  const throughTreesDb = computeVegetationLossDb({ lengthM, frequencyGhz: 5.6 });
  expect(throughTreesDb).toBeCloseTo(32.5, 1);
  const lossDb = computeWoodedPathLossDb({ overTreesDb: overDb(1), withoutTreesDb: overDb(0), throughTreesDb });
  expect(lossDb).toBeCloseTo(32.3, 1);
});
