import { type RadialFan, radialFan, trackOfFan } from "@fellmark/geodesy";
import { knifeEdgeLossDb } from "@fellmark/propagation";
import { sampleBilinear } from "./bilinear.ts";
import { CLEAR_NU2, leastNuSquared } from "./clearance.ts";
import { kitHorizonVertex } from "./kit-horizon.ts";
import { exactBullingtonDb, tabulatedBullingtonDb, withTailDb } from "./loss-table.ts";
import { AT, createRadialState, type MastConstants, mastConstants, type RadialState } from "./radial-state.ts";
import { centidegrees, slantDb } from "./rays.ts";
import { smoothEarthExcessDb } from "./smooth-earth-excess.ts";
import { NO_LOSS_NU2 } from "./smooth-path.ts";
import { CELL_CLASS, type RadialOutput, type SweepGeometry, type SweepSetup } from "./sweep-frame.ts";
import type { SweepPlan } from "./sweep-plan.ts";

/** Slope "of the edge left of the first hull vertex": nothing lies above its extension. */
const NO_EDGE = 1e300;

/** Range under which a cell counts as standing at the mast's foot, steps. */
const LEAST_RANGE = 1e-3;

/**
 * What the radials of one mast share. The functions below take it apart into locals at their start: read through a
 * closure, every access in the loops would go through the closure's context (measured: twice the running time).
 */
export interface RadialKernel {
  setup: SweepSetup;
  geometry: SweepGeometry;
  plan: SweepPlan;
  output: RadialOutput;
  mast: MastConstants;
  radial: RadialState;
  /** 1 / j. */
  inverse: Float64Array;
  fan: RadialFan;
}

export function createRadialKernel(
  setup: SweepSetup,
  geometry: SweepGeometry,
  plan: SweepPlan,
  output: RadialOutput,
): RadialKernel {
  const radial = createRadialState(geometry.radiusSteps);
  return {
    setup,
    geometry,
    plan,
    output,
    mast: mastConstants(setup, geometry),
    radial,
    inverse: Float64Array.from(radial.flat, (_, j) => 1 / j),
    fan: radialFan(setup.mast, setup.window.zoom, geometry.stepM, geometry.radiusSteps),
  };
}

/**
 * The sweep along one radial: the complete delta-Bullington loss of every cell the radial serves, in amortised
 * O(log n) a cell. Samples of the radial are pushed one by one onto an upper hull; a cell is answered by a tangent to
 * that hull and by running sums as soon as the last sample before it is in. Equal to `deltaBullington` of
 * @fellmark/propagation over the same samples with the cell's own range and ground at the end (a test: 1e-9 dB without
 * tables, 1e-5 with). Source: ITU-R P.1812-6 sections 4.3.1 to 4.3.5 (ITU-R P.526-15 section 4.5.2).
 */
export function sweepRadial(kernel: RadialKernel, radialNumber: number): void {
  const { plan, geometry, radial, inverse } = kernel;
  const { start, cells } = plan;
  const end = start[radialNumber + 1];
  let index = start[radialNumber];
  if (index === end) return;
  const { surfaceAmslM, bareAmslM, cellAmslM, scale } = kernel.setup.ground;
  const { width } = kernel.setup.window;
  const { northM, eastPerColumnM, originColumn, originRow } = geometry.rows;
  const { scalars, flat, bare, hullAt, hullHeight, hullSlope } = radial;
  const { bulgeM, antennaAmslM, mastGroundM } = kernel.mast;
  const azimuthDeg = ((radialNumber + 0.5) * 360) / geometry.radialCount;
  const track = trackOfFan(kernel.fan, azimuthDeg);
  const column0 = originColumn * scale - 0.5;
  const column1 = track.columnPerStep * scale;
  const column2 = track.columnPerStep2 * scale;
  const row0 = originRow * scale - 0.5;
  const row1 = track.rowPerStep * scale;
  const row2 = track.rowPerStep2 * scale;
  const stepsPerM = 1 / geometry.stepM;
  const sampleWidth = width * scale;
  const oneSurface = surfaceAmslM === bareAmslM;
  let x = rangeSteps(cells[index], northM, eastPerColumnM, originColumn, stepsPerM);
  let top = -1;
  let mastSlope = Number.NEGATIVE_INFINITY;
  let mastSlopeBare = Number.NEGATIVE_INFINITY;
  let fit1 = 0;
  let fit2 = 0;
  let lastBare = mastGroundM;
  let unknown = false;
  for (let j = 0; ; j++) {
    if (j > 0 && !unknown) {
      const column = column0 + j * (column1 + column2 * j);
      const row = row0 + j * (row1 + row2 * j);
      const h = sampleBilinear(surfaceAmslM, sampleWidth, column, row);
      const hBare = oneSurface ? h : sampleBilinear(bareAmslM, sampleWidth, column, row);
      unknown = Number.isNaN(h + hBare);
      const q = h - bulgeM * j * j;
      flat[j] = q;
      bare[j] = hBare;
      fit1 += hBare + lastBare;
      fit2 += (hBare + lastBare) * (3 * j - 2) + hBare;
      lastBare = hBare;
      const perStep = inverse[j];
      const slope = (q - antennaAmslM) * perStep;
      const slopeBare = (hBare - antennaAmslM) * perStep;
      if (slope > mastSlope) mastSlope = slope;
      if (slopeBare > mastSlopeBare) mastSlopeBare = slopeBare;
      while (top > 0 && q >= hullHeight[top] + hullSlope[top] * (j - hullAt[top])) top--;
      hullSlope[top + 1] = j > 1 ? (q - hullHeight[top]) * inverse[j - hullAt[top]] : NO_EDGE;
      top++;
      hullAt[top] = j;
      hullHeight[top] = q;
    }
    while (x < j + 1.5) {
      const cell = (cells[index] >>> 16) * width + (cells[index] & 0xffff);
      scalars[AT.range] = x;
      scalars[AT.mastSlope] = mastSlope;
      scalars[AT.mastSlopeBare] = mastSlopeBare;
      scalars[AT.fit1] = fit1;
      scalars[AT.fit2] = fit2;
      scalars[AT.lastBare] = lastBare;
      if (unknown || Number.isNaN(cellAmslM[cell])) markUnknown(kernel.output, cell);
      else if (j === 0) answerNearCell(kernel, cell);
      else answerCell(kernel, cell, j, top);
      index++;
      if (index === end) return;
      x = rangeSteps(cells[index], northM, eastPerColumnM, originColumn, stepsPerM);
    }
  }
}

/** Range of a packed cell from the mast, steps; see RowFrame. */
function rangeSteps(
  cell: number,
  northM: Float64Array,
  eastPerColumnM: Float64Array,
  originColumn: number,
  stepsPerM: number,
): number {
  const north = northM[cell >>> 16];
  const east = eastPerColumnM[cell >>> 16] * ((cell & 0xffff) + 0.5 - originColumn);
  return Math.sqrt(north * north + east * east) * stepsPerM;
}

/** Loss, ray angles and class of one cell whose path has the samples 1..samples (at least one). */
function answerCell(kernel: RadialKernel, cell: number, samples: number, top: number): void {
  const { radial, mast, output, setup } = kernel;
  const { scalars, hullAt, hullHeight } = radial;
  const { bulgeM, nuScale, stepM, antennaAmslM, kitHeightAglM } = mast;
  const ground = setup.ground.cellAmslM[cell];
  const x = scalars[AT.range];
  const kitM = ground - bulgeM * x * x + kitHeightAglM;
  const slope = (kitM - antennaAmslM) / x;
  const a = scalars[AT.mastSlope] - slope;
  scalars[AT.ground] = ground;
  scalars[AT.slope] = slope;
  scalars[AT.mastExcess] = a;
  const vertex = kitHorizonVertex(radial, top, kitM);
  const b = (hullHeight[vertex] - kitM) / (x - hullAt[vertex]) + slope;
  scalars[AT.kitExcess] = b;
  const nu2 = Math.max(0, nuScale * x * a * b);
  const tailDb = 10 + 0.00002 * stepM * x;
  let lossDb = 0;
  let sight: number = CELL_CLASS.clear;
  if (a >= 0) {
    lossDb = setup.useTables ? tabulatedBullingtonDb(nu2, tailDb) : exactBullingtonDb(nu2, tailDb);
    sight = CELL_CLASS.blocked;
  } else if (nu2 < CLEAR_NU2) {
    const least = leastNuSquared(radial, mast, top, samples);
    if (least < CLEAR_NU2) sight = CELL_CLASS.grazing;
    if (least < NO_LOSS_NU2) lossDb = withTailDb(knifeEdgeLossDb(-Math.sqrt(least)), tailDb);
  }
  const { excessDb, raysCdeg, cellClass } = output;
  const rise = (slope + bulgeM * x) / stepM;
  excessDb[cell] = lossDb + smoothEarthExcessDb(radial, mast, samples, tailDb) + slantDb(rise);
  cellClass[cell] = sight;
  raysCdeg[2 * cell] = centidegrees((slope + Math.max(0, a)) / stepM);
  raysCdeg[2 * cell + 1] = centidegrees((Math.max(0, b) - slope - 2 * bulgeM * x) / stepM);
}

/** A cell so near that no sample lies between: no obstacle, a straight ray. */
function answerNearCell({ radial, mast, output, setup }: RadialKernel, cell: number): void {
  const range = Math.max(radial.scalars[AT.range], LEAST_RANGE);
  const rise = (setup.ground.cellAmslM[cell] + mast.kitHeightAglM - mast.antennaAmslM) / (range * mast.stepM);
  output.excessDb[cell] = slantDb(rise);
  output.cellClass[cell] = CELL_CLASS.clear;
  output.raysCdeg[2 * cell] = centidegrees(rise);
  output.raysCdeg[2 * cell + 1] = centidegrees(-rise);
}

function markUnknown({ excessDb, cellClass }: RadialOutput, cell: number): void {
  excessDb[cell] = Number.NaN;
  cellClass[cell] = CELL_CLASS.notKnown;
}
