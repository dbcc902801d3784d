import { computeWavelengthM, type FieldProblem, InputError } from "@fellmark/units";
import type { HornDescription } from "../description.ts";
import type { AntennaPattern } from "../pattern.ts";
import { computeBesselJ } from "../theory/bessel.ts";
import { type LossParts, listLossParts } from "./loss-parts.ts";
import { createRoundApertureField, type RoundApertureField } from "./round-aperture.ts";
import { createRoundPattern } from "./round-pattern.ts";
import { HORN_PURITY_DB } from "./synthesised-pattern.ts";

/** First zero of the derivative of J1 (mode TE11), of J1 (TM11) and of J0 (HE11). */
const TE11 = 1.8411837813;
const TM11 = 3.8317059702;
const HE11 = 2.4048255577;

/**
 * Share of TM11 beside TE11 that makes the E and the H plane most alike: cross-polar lobes of -33 dB. A share of 0.65
 * would give the lowest side lobes in the E plane instead.
 */
const DUAL_MODE_SHARE = 0.46;

type Mouth = Pick<RoundApertureField, "even" | "twofold">;

/**
 * Field over the mouth of each form.
 * Source: modes of round waveguide, C. A. Balanis, Antenna Theory, 13.5; two modes: P. D. Potter, 1963; corrugated:
 * the balanced hybrid mode, which has one polarisation and no lobes of its own, P. J. B. Clarricoats, A. D. Olver, 1984.
 */
const MOUTHS: Readonly<Record<HornDescription["form"], Mouth>> = {
  conical: {
    even: (r) => computeBesselJ(0, TE11 * r),
    twofold: (r) => computeBesselJ(2, TE11 * r),
  },
  "dual-mode": {
    even: (r) => computeBesselJ(0, TE11 * r) + DUAL_MODE_SHARE * computeBesselJ(0, TM11 * r),
    twofold: (r) => computeBesselJ(2, TE11 * r) - DUAL_MODE_SHARE * computeBesselJ(2, TM11 * r),
  },
  corrugated: { even: (r) => computeBesselJ(0, HE11 * r) },
};

/**
 * Returns the pattern of a round horn: the field of its mode over the mouth, with the curved wave front of the flare.
 * Accuracy: gain within 0.2 dB of the design curve of conical horns (Balanis, eq 13-57) from 3 wavelengths; the rim
 * itself does not radiate here, so the back is too low until the mast scatters.
 * Throws InputError below `pointer` for a mouth under 0.6 or over 64 wavelengths, or a cone shorter than its mouth.
 */
export function createHornPattern(
  description: HornDescription,
  frequencyGhz: number,
  pointer: string,
  parts: LossParts = listLossParts(description),
): AntennaPattern {
  checkHorn(description, frequencyGhz, pointer);
  const { form, diameterM, slantLengthM, lossDb = 0 } = description;
  const radiusM = diameterM / 2;
  const axisM = Math.sqrt(slantLengthM ** 2 - radiusM ** 2);
  const waves = (2 * Math.PI) / computeWavelengthM(frequencyGhz);
  const phaseRad = (r: number): number => waves * (Math.hypot(axisM, radiusM * r) - axisM);
  const field = createRoundApertureField({ radiusM, phaseRad, ...MOUTHS[form] }, frequencyGhz);
  return createRoundPattern(
    { radiusM, field, strays: [] },
    { frequencyGhz, lossDb, parts, feedPurityDb: HORN_PURITY_DB },
  );
}

/** Throws as `createHornPattern` does. */
export function checkHorn({ diameterM, slantLengthM }: HornDescription, frequencyGhz: number, pointer: string): void {
  const problems: FieldProblem[] = [];
  const wavelengths = diameterM / computeWavelengthM(frequencyGhz);
  if (!(wavelengths >= 0.6 && wavelengths <= 64)) {
    const detail = `the mouth is ${wavelengths.toFixed(2)} wavelengths wide, not 0.6 to 64`;
    problems.push({ pointer: `${pointer}/diameterM`, detail, limit: "0.6 to 64 wavelengths" });
  }
  if (!(slantLengthM > diameterM / 2)) {
    const detail = `the side of the cone must be longer than half its mouth, got ${slantLengthM} m`;
    problems.push({ pointer: `${pointer}/slantLengthM`, detail, limit: diameterM / 2 });
  }
  if (problems.length > 0) throw new InputError(problems);
}
