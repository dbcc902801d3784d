import { computeWavelengthM, createSeededNormal, RAD_PER_DEG } from "@fellmark/units";
import type { PatchArrayDescription } from "../description.ts";
import type { Port } from "../pattern.ts";
import { computeTaperWeights } from "../theory/array-tapers.ts";
import type { LossParts } from "./loss-parts.ts";

/** Errors of a printed feed network, rms. Common practice, no source. */
const AMPLITUDE_ERROR_DB = 0.5;
const PHASE_ERROR_RAD = 5 * RAD_PER_DEG;

/** Complex amplitudes of the elements of one port, row by row from below, from left to right. */
export interface Excitations {
  re: Float64Array;
  im: Float64Array;
}

/** Returns tapers, phases of the electrical tilt and, where they count, errors of the feed, which differ by port. */
export function computeExcitations(description: PatchArrayDescription, port: Port, parts: LossParts): Excitations {
  const { columns, rows, seed = 1 } = description;
  const across = computeTaperWeights(description.columnTaper ?? { kind: "uniform" }, columns);
  const upward = computeTaperWeights(description.rowTaper ?? { kind: "uniform" }, rows);
  const normal = createSeededNormal(2 * seed + port);
  const hasErrors = parts.has("excitation-errors");
  const [amplitudeErrorDb, phaseErrorRad] = hasErrors ? [AMPLITUDE_ERROR_DB, PHASE_ERROR_RAD] : [0, 0];
  const re = new Float64Array(rows * columns);
  const im = new Float64Array(rows * columns);
  for (let i = 0; i < rows * columns; i++) {
    const row = Math.floor(i / columns);
    const amplitude = upward[row] * across[i % columns] * 10 ** ((amplitudeErrorDb * normal()) / 20);
    const phase = row * computeTiltPhaseRad(description) + phaseErrorRad * normal();
    re[i] = amplitude * Math.cos(phase);
    im[i] = amplitude * Math.sin(phase);
  }
  return { re, im };
}

/** Returns the phase from row to row upward: at the design frequency the fields add at the tilt below the horizon. */
function computeTiltPhaseRad({
  rowSpacingM,
  designFrequencyGhz,
  electricalDowntiltDeg = 0,
}: PatchArrayDescription): number {
  const waves = (2 * Math.PI) / computeWavelengthM(designFrequencyGhz);
  return waves * rowSpacingM * Math.sin(electricalDowntiltDeg * RAD_PER_DEG);
}
