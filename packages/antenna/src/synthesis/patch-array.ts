import { computeWavelengthM, type FieldProblem, InputError } from "@fellmark/units";
import type { PatchArrayDescription } from "../description.ts";
import type { AntennaPattern, Port } from "../pattern.ts";
import { computeExcitations, type Excitations } from "./excitations.ts";
import type { RowField } from "./field-grid.ts";
import { checkSize, createGridPattern, type GridSource } from "./grid-pattern.ts";
import { type LossParts, listLossParts } from "./loss-parts.ts";
import { computePatchField, computePatchSideM } from "./patch-element.ts";
import { ARRAY_PURITY_DB } from "./synthesised-pattern.ts";

/** Elements along one side. */
const MOST_ELEMENTS = 64;

/**
 * Returns the pattern of a planar array of patches: the field of one patch times the sum over all elements. Spacings are
 * lengths, so the lobes move with the frequency; the tilt is exact at the design frequency and changes beside it.
 * Coupling between the elements is neglected. Port 1 has its E plane upright, port 0 across.
 * Source: pattern multiplication, C. A. Balanis, Antenna Theory, 6.10.
 * Accuracy: gain is the directivity by integration less the feed loss; with errors unless ideal lobes are asked for.
 * Throws InputError below `pointer`.
 */
export function createPatchArrayPattern(
  description: PatchArrayDescription,
  frequencyGhz: number,
  pointer: string,
  parts: LossParts = listLossParts(description),
): AntennaPattern {
  checkPatchArray(description, frequencyGhz, pointer);
  const { feedLossDb: lossDb = 0 } = description;
  const source = createPatchArraySource(description, frequencyGhz, parts);
  return createGridPattern(source, { frequencyGhz, lossDb, parts, feedPurityDb: ARRAY_PURITY_DB }, pointer);
}

/** Returns the far field of an array, before it is sampled. */
export function createPatchArraySource(
  description: PatchArrayDescription,
  frequencyGhz: number,
  parts: LossParts = listLossParts(description),
): GridSource {
  const { columns, columnSpacingM, rowSpacingM, designFrequencyGhz } = description;
  const sideM = computePatchSideM(designFrequencyGhz);
  const waves = (2 * Math.PI) / computeWavelengthM(frequencyGhz);
  const excitations = [computeExcitations(description, 0, parts), computeExcitations(description, 1, parts)] as const;
  return {
    ...computeSize(description),
    row(elevationRad, port) {
      const up = Math.sin(elevationRad);
      const sums = sumColumns(excitations[port], columns, waves * rowSpacingM * up);
      const flat = { up, level: Math.cos(elevationRad), columnRad: waves * columnSpacingM };
      return createRowField(sums, port, flat, (waves * sideM) / 2);
    },
  };
}

/** Returns the sum of each column toward one elevation; `rowRad` is the phase from row to row, zero at the middle. */
function sumColumns({ re, im }: Excitations, columns: number, rowRad: number): Excitations {
  const rows = re.length / columns;
  const sums = { re: new Float64Array(columns), im: new Float64Array(columns) };
  for (let row = 0; row < rows; row++) {
    const phase = (row - (rows - 1) / 2) * rowRad;
    const [cosine, sine] = [Math.cos(phase), Math.sin(phase)];
    for (let column = 0; column < columns; column++) {
      const i = row * columns + column;
      sums.re[column] += re[i] * cosine - im[i] * sine;
      sums.im[column] += re[i] * sine + im[i] * cosine;
    }
  }
  return sums;
}

/** Returns the sum over the columns, whose phases rise by a constant step, times the field of the patch. */
function createRowField(
  { re, im }: Excitations,
  port: Port,
  { up, level, columnRad }: { up: number; level: number; columnRad: number },
  halfSideRad: number,
): RowField {
  const patch = new Float64Array(2);
  const direction = { alongE: 0, alongH: 0, ahead: 0 };
  const middle = (re.length - 1) / 2;
  return (sineAzimuth, cosineAzimuth, out) => {
    const right = level * sineAzimuth;
    direction.ahead = level * cosineAzimuth;
    direction.alongE = port === 1 ? up : right;
    direction.alongH = port === 1 ? right : up;
    computePatchField(halfSideRad, direction, patch);
    const turnRe = Math.cos(columnRad * right);
    const turnIm = Math.sin(columnRad * right);
    let phaseRe = Math.cos(middle * columnRad * right);
    let phaseIm = -Math.sin(middle * columnRad * right);
    let sumRe = 0;
    let sumIm = 0;
    for (let column = 0; column < re.length; column++) {
      sumRe += re[column] * phaseRe - im[column] * phaseIm;
      sumIm += re[column] * phaseIm + im[column] * phaseRe;
      const next = phaseRe * turnRe - phaseIm * turnIm;
      phaseIm = phaseRe * turnIm + phaseIm * turnRe;
      phaseRe = next;
    }
    out[0] = patch[0] * sumRe;
    out[1] = patch[0] * sumIm;
    out[2] = patch[1] * sumRe;
    out[3] = patch[1] * sumIm;
  };
}

function computeSize(description: PatchArrayDescription): { widthM: number; heightM: number } {
  const { columns, rows, columnSpacingM, rowSpacingM, designFrequencyGhz } = description;
  const sideM = computePatchSideM(designFrequencyGhz);
  return { widthM: (columns - 1) * columnSpacingM + sideM, heightM: (rows - 1) * rowSpacingM + sideM };
}

/** Throws InputError for an invalid array, or one of too many wavelengths for a full sphere. */
export function checkPatchArray(description: PatchArrayDescription, frequencyGhz: number, pointer: string): void {
  checkElements(description, pointer);
  checkSize(computeSize(description), frequencyGhz, pointer);
}

function checkElements(description: PatchArrayDescription, pointer: string): void {
  const problems: FieldProblem[] = [];
  for (const name of ["columns", "rows"] as const) {
    const count = description[name];
    if (Number.isInteger(count) && count >= 1 && count <= MOST_ELEMENTS) continue;
    const detail = `must be a whole number from 1 to ${MOST_ELEMENTS}, got ${count}`;
    problems.push({ pointer: `${pointer}/${name}`, detail, limit: MOST_ELEMENTS });
  }
  for (const name of ["columnSpacingM", "rowSpacingM", "designFrequencyGhz"] as const) {
    if (description[name] > 0) continue;
    problems.push({ pointer: `${pointer}/${name}`, detail: `must be above 0, got ${description[name]}`, limit: 0 });
  }
  for (const name of ["columnTaper", "rowTaper"] as const) {
    const taper = description[name];
    if (taper?.kind !== "chebyshev" || taper.sideLobeDb >= 10) continue;
    const detail = `side lobes must lie 10 dB or more under the peak, got ${taper.sideLobeDb}`;
    problems.push({ pointer: `${pointer}/${name}/sideLobeDb`, detail, limit: 10 });
  }
  if (problems.length > 0) throw new InputError(problems);
}
