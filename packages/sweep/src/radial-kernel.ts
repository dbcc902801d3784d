import { createRadialFan, findFanTrack, type RadialFan } from "@fellmark/geodesy";
import {
  addBullingtonTailDb,
  computeBullingtonTailDb,
  computeKnifeEdgeLossDb,
  FREE_EDGE_NU2,
} from "@fellmark/propagation";
import { CLEAR_NU2, findLeastNuSquared } from "./clearance.ts";
import { findFarHorizon } from "./cpe-horizon.ts";
import { computeExactBullingtonDb, computeTabulatedBullingtonDb } from "./loss-table.ts";
import { countKnownSamples, pushSamples, pushTreeless, readHeights, type SampleGrid } from "./radial-profile.ts";
import { createRadialState, deriveMastConstants, type MastConstants, type RadialState } from "./radial-state.ts";
import { computeSlantDb, toCentidegrees } from "./rays.ts";
import { computeSmoothEarthExcessDb, mayFeelSmoothEarth } from "./smooth-earth-excess.ts";
import { CELL_CLASS, type RadialOutput, type SweepGeometry, type SweepSetup } from "./sweep-frame.ts";
import type { SweepPlan } from "./sweep-plan.ts";
import { createTreePaths, type TreePaths } from "./tree-paths.ts";

/** Range under which a cell counts as standing at the mast's foot, steps. */
const LEAST_RANGE = 1e-3;

/** Hull vertices tried one by one before whole blocks are skipped. */
const LINEAR_TRIES = 6;

/** State that the radials of one mast share. */
export interface RadialKernel {
  setup: SweepSetup;
  geometry: SweepGeometry;
  plan: SweepPlan;
  output: RadialOutput;
  mast: MastConstants;
  radial: RadialState;
  /** Null where no trees are known. */
  trees: TreePaths | null;
  /** 1 / j. */
  inverse: Float64Array;
  fan: RadialFan;
  grid: SampleGrid;
}

export function createRadialKernel(
  setup: SweepSetup,
  geometry: SweepGeometry,
  plan: SweepPlan,
  output: RadialOutput,
): RadialKernel {
  const { scale } = setup.ground;
  const radial = createRadialState(geometry.radiusSteps, setup.ground);
  const mast = deriveMastConstants(setup, geometry);
  return {
    setup,
    geometry,
    plan,
    output,
    mast,
    radial,
    trees: radial.treeless && createTreePaths(setup, mast, radial, radial.treeless),
    inverse: Float64Array.from(radial.flat, (_, j) => 1 / j),
    fan: createRadialFan(setup.mast, setup.window.zoom, geometry.stepM, geometry.radiusSteps),
    grid: {
      width: setup.window.width * scale,
      scale,
      originColumn: geometry.rows.originColumn * scale - 0.5,
      originRow: geometry.rows.originRow * scale - 0.5,
    },
  };
}

/**
 * The sweep along one radial: the complete delta-Bullington loss of every cell the radial serves, in amortised O(log n)
 * a cell on usual ground. Three loops, each over its own arrays: the heights of all samples are read; the samples are
 * pushed one by one onto an upper hull, with running maxima and sums; every cell is answered by a tangent to the hull
 * of the samples before it and by their sums. Equal to `computeDeltaBullington` of @fellmark/propagation over the same
 * samples with the cell's own range and ground at the end (a test: 1e-9 dB without tables, 1e-5 with).
 * Source: ITU-R P.1812-6 sections 4.3.1 to 4.3.5 (ITU-R P.526-15 section 4.5.2).
 */
export function sweepRadial(kernel: RadialKernel, radialNumber: number): void {
  const { plan, geometry, radial, setup, grid } = kernel;
  const { surfaceAmslM, solidAmslM, bareAmslM } = setup.ground;
  const { treeless } = radial;
  const first = plan.start[radialNumber];
  const end = plan.start[radialNumber + 1];
  if (first === end) return;
  const count = countSamplesBefore(computeRangeSteps(geometry, plan.cells[end - 1]));
  const track = findFanTrack(kernel.fan, ((radialNumber + 0.5) * 360) / geometry.radialCount);
  readHeights(surfaceAmslM, grid, track, count, radial.surface);
  if (radial.bare !== radial.surface) readHeights(bareAmslM, grid, track, count, radial.bare);
  if (treeless && treeless.solid !== radial.bare) readHeights(solidAmslM, grid, track, count, treeless.solid);
  const known = countKnownSamples(radial, count);
  pushSamples(radial, kernel.mast, kernel.inverse, known);
  if (treeless) pushTreeless(treeless, radial, kernel.mast, kernel.inverse, known);
  answerCells(kernel, first, end, count, known);
}

/** Range of a packed cell from the mast, steps; see RowFrame. */
function computeRangeSteps({ rows, stepM }: SweepGeometry, packed: number): number {
  const north = rows.northM[packed >>> 16];
  const east = rows.eastPerColumnM[packed >>> 16] * ((packed & 0xffff) + 0.5 - rows.originColumn);
  return Math.sqrt(north * north + east * east) * (1 / stepM);
}

/** Samples between the mast and a cell: the last lies half a step to a step and a half before it. An integer. */
function countSamplesBefore(x: number): number {
  return (x - 0.5) | 0;
}

/**
 * Loss, ray angles and class of the cells of a radial, whose samples 1..known are pushed.
 * @param count samples that were asked for: the plan may round the last cell's range to the other side.
 */
function answerCells(kernel: RadialKernel, first: number, end: number, count: number, known: number): void {
  const { radial, mast, output, setup, geometry } = kernel;
  const { cells } = kernel.plan;
  const { flat, bare, mastSlope, fit1, fit2, hullLeft, hullSlope } = radial;
  const { bulgeM, nuScale, stepM, antennaAmslM, mastGroundM, cpeHeightAglM } = mast;
  const { excessDb, raysCdeg, cellClass } = output;
  const { cellAmslM, cpeAmslM } = setup.ground;
  const { useTables } = setup;
  const { trees } = kernel;
  const { width } = setup.window;
  for (let index = first; index < end; index++) {
    const packed = cells[index];
    const cell = (packed >>> 16) * width + (packed & 0xffff);
    const ground = cellAmslM[cell];
    const x = computeRangeSteps(geometry, packed);
    const samples = Math.min(count, countSamplesBefore(x));
    if (samples > known || Number.isNaN(ground)) {
      markUnknown(output, cell);
      continue;
    }
    if (samples === 0) {
      answerNearCell(kernel, cell, x);
      continue;
    }
    const rxAmslM = cpeAmslM === null ? ground + cpeHeightAglM : cpeAmslM[cell];
    const cpeM = rxAmslM - bulgeM * x * x;
    const slope = (cpeM - antennaAmslM) / x;
    let a = mastSlope[samples] - slope;
    let vertex = samples;
    for (let tries = 0; cpeM > flat[vertex] + hullSlope[vertex] * (x - vertex); tries++) {
      vertex = tries < LINEAR_TRIES ? hullLeft[vertex] : findFarHorizon(radial, vertex, x, cpeM);
    }
    let b = (flat[vertex] - cpeM) / (x - vertex) + slope;
    const nu2 = Math.max(0, nuScale * x * a * b);
    const tailDb = computeBullingtonTailDb(stepM * x);
    let lossDb = 0;
    let sight: number = CELL_CLASS.clear;
    if (a >= 0) {
      lossDb = useTables ? computeTabulatedBullingtonDb(nu2, tailDb) : computeExactBullingtonDb(nu2, tailDb);
      sight = CELL_CLASS.blocked;
    } else if (nu2 < CLEAR_NU2) {
      const least = findLeastNuSquared(radial, mast, { x, samples, slope, a, b });
      if (least < CLEAR_NU2) sight = CELL_CLASS.grazing;
      if (least < FREE_EDGE_NU2) lossDb = addBullingtonTailDb(computeKnifeEdgeLossDb(-Math.sqrt(least)), tailDb);
    }
    if (trees !== null && lossDb > 0) {
      const through = trees.passTrees({ x, samples, slope, cpeM, groundAmslM: ground }, lossDb, tailDb);
      if (through.isStronger) {
        a = through.a;
        b = through.b;
      }
      lossDb = through.lossDb;
    }
    const w = x - samples;
    const last = bare[samples];
    const v1 = fit1[samples] + w * (ground + last);
    const v2 = fit2[samples] + w * (ground * (2 * x + samples) + last * (x + 2 * samples));
    const perSquare = 1 / (x * x);
    const hst = (2 * v1 * x - v2) * perSquare;
    const hsr = (v2 - v1 * x) * perSquare;
    const h1 = antennaAmslM - Math.min(hst, mastGroundM);
    const h2 = rxAmslM - Math.min(hsr, ground);
    const smoothDb = mayFeelSmoothEarth(mast, x, h1, h2)
      ? computeSmoothEarthExcessDb(radial, mast, {
          x,
          samples,
          groundAmslM: ground,
          rxAmslM,
          fit: { txAmslM: hst, rxAmslM: hsr },
        })
      : 0;
    const rise = (slope + bulgeM * x) / stepM;
    excessDb[cell] = lossDb + smoothDb + computeSlantDb(rise);
    cellClass[cell] = sight;
    raysCdeg[2 * cell] = toCentidegrees((slope + Math.max(0, a)) / stepM);
    raysCdeg[2 * cell + 1] = toCentidegrees((Math.max(0, b) - slope - 2 * bulgeM * x) / stepM);
  }
}

function markUnknown({ excessDb, cellClass }: RadialOutput, cell: number): void {
  excessDb[cell] = Number.NaN;
  cellClass[cell] = CELL_CLASS.notKnown;
}

/** A cell so near that no sample lies between: no obstacle, a straight ray. */
function answerNearCell({ mast, output, setup }: RadialKernel, cell: number, x: number): void {
  const range = Math.max(x, LEAST_RANGE);
  const { cellAmslM, cpeAmslM } = setup.ground;
  const rxAmslM = cpeAmslM === null ? cellAmslM[cell] + mast.cpeHeightAglM : cpeAmslM[cell];
  const rise = (rxAmslM - mast.antennaAmslM) / (range * mast.stepM);
  output.excessDb[cell] = computeSlantDb(rise);
  output.cellClass[cell] = CELL_CLASS.clear;
  output.raysCdeg[2 * cell] = toCentidegrees(rise);
  output.raysCdeg[2 * cell + 1] = toCentidegrees(-rise);
}
