import { toDb } from "@fellmark/units";
import { measureCut } from "../measure/cut-parameters.ts";
import { findPeak } from "../measure/peak-frame.ts";
import { createAzimuthCut, createElevationCut } from "../measure/plane-cuts.ts";
import type { AntennaPattern } from "../pattern.ts";
import { computeSphereMean } from "../sphere-mean.ts";
import type { ReadWarning, Refuse } from "./read-fault.ts";

/** Square degrees of the sphere. */
const SPHERE_DEG2 = 41_253;
const OVER_WIDTHS_DB = 1.5;
const OVER_DIRECTIVITY_DB = 0.5;
/** Integration steps over the narrower half-power width: the sum over a smooth beam is then exact to 0.01 dB. */
const STEPS_PER_WIDTH = 3;
const FINEST_STEP_DEG = 0.25;
const WIDEST_STEP_DEG = 3;
/** A smaller excess above a bound is rounding in the file. */
const ROUNDING_DB = 0.05;

/**
 * Refuses a gain that no antenna of this pattern has: over 1.5 dB above 41253 / (H x V), H and V the half-power widths,
 * or over 0.5 dB above the directivity by integration. Between a bound and its limit it warns.
 * Source: Kraus, in Balanis, Antenna Theory, 2.6; directivity as IEEE Std 145. An envelope has no directivity.
 */
export function checkGain(pattern: AntennaPattern, line: number, warnings: ReadWarning[], refuse: Refuse): void {
  const peak = findPeak(pattern, 0);
  const azimuthWidthDeg = measureCut(createAzimuthCut(pattern, 0, peak)).halfPowerWidthDeg;
  const elevationWidthDeg = measureCut(createElevationCut(pattern, 0, peak)).halfPowerWidthDeg;
  const limitDbi = toDb(SPHERE_DEG2 / (azimuthWidthDeg * elevationWidthDeg));
  const widths = `${azimuthWidthDeg.toFixed(1)} x ${elevationWidthDeg.toFixed(1)} degrees allow ${limitDbi.toFixed(2)}`;
  judge(peak.gainDbi, limitDbi, OVER_WIDTHS_DB, widths, "gain_over_widths");
  if (pattern.levels === "envelope") return;
  const mean = computeSphereMean(pattern, 0, chooseIntegrationStepDeg(Math.min(azimuthWidthDeg, elevationWidthDeg)));
  const directivityDbi = peak.gainDbi - toDb(mean);
  const integral = `the directivity by integration is ${directivityDbi.toFixed(2)}`;
  judge(peak.gainDbi, directivityDbi, OVER_DIRECTIVITY_DB, integral, "gain_over_directivity");

  function judge(gainDbi: number, boundDbi: number, allowedDb: number, reason: string, code: string): void {
    const overDb = gainDbi - boundDbi;
    const detail = `the gain of ${gainDbi.toFixed(2)} dBi is ${overDb.toFixed(2)} dB too high: ${reason} dBi`;
    if (overDb > allowedDb) refuse(line, detail);
    if (overDb > ROUNDING_DB) warnings.push({ code, line, detail });
  }
}

/** Returns a step that divides 180 degrees. */
function chooseIntegrationStepDeg(narrowDeg: number): number {
  const wantedDeg = Math.min(Math.max(narrowDeg / STEPS_PER_WIDTH, FINEST_STEP_DEG), WIDEST_STEP_DEG);
  return 180 / Math.ceil(180 / wantedDeg);
}
