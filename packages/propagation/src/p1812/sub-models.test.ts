import { expect, it } from "vitest";
import { combineLosses } from "./combination.ts";
import { computeDuctingLossDb, type DuctingInput } from "./ducting.ts";
import { computePrescribedInverseNormal } from "./inverse-normal.ts";
import { computeLineOfSightLossDb, computeSlantFreeSpaceLossDb } from "./line-of-sight.ts";
import { PATH_CLUTTER_HEIGHT_M, raiseByPathClutter } from "./path-clutter.ts";
import { computePathCentreLatitudeDeg, computeRadioClimate } from "./radio-climate.ts";
import { measureZones } from "./radio-zones.ts";
import { computeTimeInterpolationFactor } from "./time-interpolation.ts";
import { computeTroposcatterLossDb } from "./troposcatter.ts";

/**
 * Figures of the published run b2iseac, 1 (ITU-R Study Group 3, validation data of P.1812-6, results/b2iseac_1.csv):
 * 235.1 km across a sea at 95.3 MHz, exceeded 1 % of the time.
 */
const RUN = {
  pathKm: 235.1,
  txAmslM: 814.4,
  rxAmslM: 118.3,
  txHorizonKm: 121.1,
  rxHorizonKm: 46,
  frequencyGhz: 0.0953,
  angularDistanceMrad: 7.673515171,
  beta0Percent: 4.26330636,
  seaFraction: 0.9096129307,
  losses: {
    lb0pDb: 114.9896269,
    lb0BetaDb: 116.6269678,
    ldpDb: 14.10757881,
    lbd50Db: 160.6866898,
    lbdDb: 129.0972057,
    lbaDb: 154.5096301,
    lbsDb: 148.4453017,
  },
};

const DUCT: DuctingInput = {
  path: {
    ...RUN,
    transHorizon: true,
    tx: { elevationMrad: -13.50412507, distanceKm: 121.1, point: 0 },
    rx: { elevationMrad: -5.147057563, distanceKm: 46, point: 0 },
    smoothTxAmslM: 79.94772037,
    smoothRxAmslM: -36.51428779,
    effectiveTxHeightM: 734.4522796,
    effectiveRxHeightM: 154.8142878,
    roughnessM: 13.72716582,
  },
  climate: computeRadioClimate(53.68658428, { longestLandKm: 17.5, longestInlandKm: 12.5 }),
  frequencyGhz: 0.0953,
  effectiveEarthRadiusKm: 8930.776786,
  timePercent: 1,
  seaFraction: RUN.seaFraction,
  txCoastKm: 500,
  rxCoastKm: 500,
};

it("finds the climate of the published run from its latitude and land", () => {
  const centreDeg = computePathCentreLatitudeDeg(
    { lonDeg: -6.333333333, latDeg: 53.18333333 },
    { lonDeg: -3.183333333, latDeg: 54.16666667 },
    235.1,
  );
  expect(centreDeg).toBeCloseTo(53.68658428, 7);
  expect(DUCT.climate.beta0Percent).toBeCloseTo(4.26330636, 7);
});

it("meets itself at 70 degrees of latitude but for the rounding of the constants (eqs (4), (5))", () => {
  const land = { longestLandKm: 30, longestInlandKm: 20 };
  const [below, above] = [70, 70.001].map((latitude) => computeRadioClimate(latitude, land).beta0Percent);
  expect(below / above).toBeCloseTo(1, 2);
  expect(computeRadioClimate(-60, land)).toEqual(computeRadioClimate(60, land));
});

it("gives the losses of the published run with line of sight, by troposcatter and by ducting", () => {
  expect(computeSlantFreeSpaceLossDb(RUN)).toBeCloseTo(119.4069487, 6);
  expect(computeLineOfSightLossDb(RUN, 1)).toBeCloseTo(RUN.losses.lb0pDb, 6);
  expect(computeLineOfSightLossDb(RUN, RUN.beta0Percent)).toBeCloseTo(RUN.losses.lb0BetaDb, 6);
  const scatter = computeTroposcatterLossDb({ ...RUN, seaLevelRefractivity: 326.079979, timePercent: 1 });
  expect(scatter).toBeCloseTo(RUN.losses.lbsDb, 6);
  expect(computeDuctingLossDb(DUCT)).toBeCloseTo(RUN.losses.lbaDb, 6);
});

it("couples more to the duct from a low coast than from a high one or far inland (eq (49))", () => {
  const atCoast = (txAmslM: number, txCoastKm: number) =>
    computeDuctingLossDb({ ...DUCT, path: { ...DUCT.path, txAmslM }, txCoastKm });
  // At sea level -3 (1 + tanh 3.5) = -5.9945 dB; at 50 m the tanh is 0.
  expect(atCoast(0, 0) - atCoast(0, 6)).toBeCloseTo(-5.9945, 4);
  expect(atCoast(50, 0) - atCoast(50, 6)).toBeCloseTo(-3, 12);
  expect(atCoast(0, 5.001)).toBe(atCoast(0, 500));
});

it("joins the published sub-models to the published sum", () => {
  const combined = combineLosses({ ...RUN, timePercent: 1, fi: 1 });
  expect(combined.fk).toBeCloseTo(9.769962617e-15, 15);
  expect(combined.lminb0pDb).toBeCloseTo(116.2647696, 6);
  expect(combined.lminbapDb).toBeCloseTo(154.5096304, 6);
  expect(combined.lbamDb).toBeCloseTo(129.0972057, 6);
  expect(combined.lbcDb).toBeCloseTo(129.0969126, 6);
});

it("interpolates in time from the median to beta0 without a step", () => {
  expect([
    computeTimeInterpolationFactor(50, 4),
    computeTimeInterpolationFactor(4, 4),
    computeTimeInterpolationFactor(1, 4),
  ]).toEqual([0, 1, 1]);
  // Upper quantiles of the normal table: 1.28155 at 10 %, 1.75069 at 4 %.
  expect(computeTimeInterpolationFactor(10, 4)).toBeCloseTo(1.28155 / 1.75069, 3);
  expect(computePrescribedInverseNormal(0.9)).toBe(-computePrescribedInverseNormal(0.1));
});

it("counts land and sea to halfway between points", () => {
  const distanceM = Float64Array.of(0, 1000, 3000, 5000, 6000);
  const lengths = measureZones(distanceM, ["inland", "coastal-land", "sea", "sea", "inland"]);
  expect(lengths).toEqual({ longestLandKm: 2, longestInlandKm: 0.5, seaFraction: 3.5 / 6 });
});

it("keeps clutter off the ends: the points themselves (P.1812), or all nearer than 50 m (P.452)", () => {
  const distanceM = Float64Array.of(0, 49.9, 50, 4950, 4950.1, 5000);
  const ground = new Float64Array(6);
  const clutterM = new Array(6).fill(12);
  expect([...raiseByPathClutter(distanceM, ground, clutterM, "interior")]).toEqual([0, 12, 12, 12, 12, 0]);
  expect([...raiseByPathClutter(distanceM, ground, clutterM, "beyond-50-m")]).toEqual([0, 0, 12, 12, 0, 0]);
});

it("lets classes stand as high as study group 3's validation profiles b2iseac and rburg have them, codes 1 to 4", () => {
  const { water, open, suburban, urban, trees } = PATH_CLUTTER_HEIGHT_M;
  expect([water, open, suburban, urban, trees]).toEqual([0, 0, 10, 15, 15]);
});
