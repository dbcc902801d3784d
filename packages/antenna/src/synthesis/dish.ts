import { computeWavelengthM, type FieldProblem, InputError } from "@fellmark/units";
import type { DishDescription } from "../description.ts";
import type { AntennaPattern } from "../pattern.ts";
import { integrate } from "../theory/integrate.ts";
import { type LossParts, listLossParts } from "./loss-parts.ts";
import { createRoundApertureField } from "./round-aperture.ts";
import { createRoundPattern, type RoundSource } from "./round-pattern.ts";
import { HORN_PURITY_DB } from "./synthesised-pattern.ts";

/** Correlation length of surface errors over the diameter. Common practice, no source. */
const CORRELATION_OVER_DIAMETER = 0.1;
/** Width, in cosine, over which the rim's shadow fades. */
const RIM_SHADOW = 0.1;

/**
 * Returns the pattern of a dish fed from its focus. The feed is cos^p of half the angle off its axis, p from the edge
 * taper; the illumination of the aperture is (1 + t^2)^-(p + 2)/2 with t = r / (4 F/D), and the power past the rim is
 * (1 + t^2)^-(p + 1) at the rim. All power fed is accounted for: the aperture's own pattern; spillover past the rim,
 * behind the dish; power on the blockage, scattered evenly; scatter of surface errors, in the lobe of a tenth of the dish.
 * Source: paraboloid geometry and efficiencies, C. A. Balanis, Antenna Theory, 15.4; surface: J. Ruze, Proc. IEEE 54
 * (1966). The cross-polar field of a balanced feed is zero and struts are left out.
 * Throws InputError below `pointer`: see checkDish.
 */
export function createDishPattern(
  description: DishDescription,
  frequencyGhz: number,
  pointer: string,
  parts: LossParts = listLossParts(description),
): AntennaPattern {
  const lambdaM = computeWavelengthM(frequencyGhz);
  checkDish(description, frequencyGhz, pointer);
  const { diameterM, blockageDiameterM = 0, lossDb = 0 } = description;
  const light = createFeedLight(description);
  const blockedTo = parts.has("blockage") ? blockageDiameterM / diameterM : 0;
  const radiusM = diameterM / 2;
  const field = createRoundApertureField({ radiusM, even: light, blockedTo }, frequencyGhz);
  const strays = listStrays(description, lambdaM, { parts, blocked: computeBlockedShare(light, blockedTo) });
  return createRoundPattern({ radiusM, field, strays }, { frequencyGhz, lossDb, parts, feedPurityDb: HORN_PURITY_DB });
}

/** Returns 1 + tan^2 of half the angle from the focus to the rim. */
function computeRimFactor(focalRatio: number): number {
  return 1 + (1 / (4 * focalRatio)) ** 2;
}

/** Returns p of the feed: the level at the rim, with the longer path to it, is the edge taper. */
function computeFeedPower({ focalRatio, edgeTaperDb }: DishDescription): number {
  return edgeTaperDb / (10 * Math.log10(computeRimFactor(focalRatio))) - 2;
}

function createFeedLight(description: DishDescription): (r: number) => number {
  const exponent = -(computeFeedPower(description) + 2) / 2;
  const edge = 1 / (4 * description.focalRatio);
  return (r) => (1 + (r * edge) ** 2) ** exponent;
}

function computeBlockedShare(light: (r: number) => number, blockedTo: number): number {
  const power = (r: number): number => light(r) ** 2 * r;
  return integrate(power, 0, blockedTo, 20) / integrate(power, 0, 1, 100);
}

function listStrays(
  description: DishDescription,
  lambdaM: number,
  { parts, blocked }: { parts: LossParts; blocked: number },
): RoundSource["strays"] {
  const { focalRatio, diameterM, surfaceRmsM = 0 } = description;
  const p = computeFeedPower(description);
  const spilled = parts.has("spillover") ? computeRimFactor(focalRatio) ** -(p + 1) : 0;
  const rmsRad = parts.has("surface-errors") ? (4 * Math.PI * surfaceRmsM) / lambdaM : 0;
  const smooth = Math.exp(-(rmsRad ** 2));
  const onDish = 1 - spilled;
  const lobe = (Math.PI * CORRELATION_OVER_DIAMETER * diameterM) / lambdaM;
  return [
    { share: spilled, shape: createSpillShape(p, computeRimFactor(focalRatio)) },
    { share: onDish * blocked, shape: () => 1 },
    {
      share: onDish * (1 - blocked) * (1 - smooth),
      shape: (offRad) => (offRad < Math.PI / 2 ? Math.exp(-((lobe * Math.sin(offRad)) ** 2)) : 0),
    },
  ];
}

/** Returns the spillover by angle: the feed faces backward, and its power outside the dish passes the rim. */
function createSpillShape(p: number, rim: number): (offRad: number) => number {
  const rimCosine = 2 / rim - 1;
  return (offRad) => {
    const past = Math.cos(offRad) + rimCosine;
    const shadow = (1 + past / Math.hypot(past, RIM_SHADOW)) / 2;
    return shadow * Math.abs(Math.sin(offRad / 2)) ** (2 * p);
  };
}

/** Throws InputError for a dish under 2 or over 200 wavelengths, a taper its depth forbids, a blockage as wide as it. */
export function checkDish(description: DishDescription, frequencyGhz: number, pointer: string): void {
  const { diameterM, focalRatio, edgeTaperDb, blockageDiameterM = 0 } = description;
  const problems: FieldProblem[] = [];
  const wavelengths = diameterM / computeWavelengthM(frequencyGhz);
  if (!(wavelengths >= 2 && wavelengths <= 200)) {
    const detail = `the dish is ${wavelengths.toFixed(2)} wavelengths wide, not 2 to 200`;
    problems.push({ pointer: `${pointer}/diameterM`, detail, limit: "2 to 200 wavelengths" });
  }
  const leastTaperDb = 20 * Math.log10(computeRimFactor(focalRatio));
  if (!(edgeTaperDb >= leastTaperDb)) {
    const detail = `at this focal ratio the path to the rim alone costs ${leastTaperDb.toFixed(2)} dB, got ${edgeTaperDb}`;
    problems.push({ pointer: `${pointer}/edgeTaperDb`, detail, limit: leastTaperDb });
  }
  if (!(blockageDiameterM < diameterM)) {
    const detail = `the blockage must be smaller than the dish, got ${blockageDiameterM} m`;
    problems.push({ pointer: `${pointer}/blockageDiameterM`, detail, limit: diameterM });
  }
  if (problems.length > 0) throw new InputError(problems);
}
