import { radialFan } from "@fellmark/geodesy";
import { knifeEdgeLossDb } from "@fellmark/propagation";
import { DEG_PER_RAD } from "@fellmark/units";
import { sampleBilinear } from "./bilinear.ts";
import { CLEAR_NU2, leastNuSquared } from "./clearance.ts";
import { kitHorizonVertex } from "./kit-horizon.ts";
import { exactBullingtonDb, tabulatedBullingtonDb, withTailDb } from "./loss-table.ts";
import { AT, createRadialState, mastConstants } from "./radial-state.ts";
import { smoothEarthExcessDb } from "./smooth-earth-excess.ts";
import { NO_LOSS_NU2 } from "./smooth-path.ts";
import { CELL_CLASS, type RadialOutput, type SweepGeometry, type SweepSetup } from "./sweep-frame.ts";
import type { SweepPlan } from "./sweep-plan.ts";

/** Slope "of the edge left of the first hull vertex": nothing lies above its extension. */
const NO_EDGE = 1e300;

/** Range under which a cell counts as standing at the mast's foot, steps. */
const LEAST_RANGE = 1e-3;

/**
 * The sweep along one radial: the complete delta-Bullington loss of every cell the radial serves, in amortised
 * O(log n) a cell. Samples of the radial are pushed one by one onto an upper hull; a cell is answered by a tangent to
 * that hull and by running sums. Equal to `deltaBullington` of @fellmark/propagation over the same samples with the
 * cell's own range and ground at the end (a test: 1e-9 dB without tables, 1e-5 with).
 * Source: ITU-R P.1812-6 sections 4.3.1 to 4.3.5 (ITU-R P.526-15 section 4.5.2).
 */
export function createRadialKernel(
  setup: SweepSetup,
  geometry: SweepGeometry,
  plan: SweepPlan,
  rasters: RadialOutput,
): (radialNumber: number) => void {
  const { surfaceAmslM, bareAmslM, cellAmslM, scale } = setup.ground;
  const oneSurface = surfaceAmslM === bareAmslM;
  const { width, zoom } = setup.window;
  const sampleWidth = width * scale;
  const { northM, eastPerColumnM, originColumn, originRow } = geometry.rows;
  const mast = mastConstants(setup, geometry);
  const radial = createRadialState(geometry.radiusSteps);
  const { scalars, flat, bare, hullAt, hullHeight, hullSlope } = radial;
  const { bulgeM, nuScale, stepM, antennaAmslM, kitHeightAglM } = mast;
  const inverse = Float64Array.from(flat, (_, j) => 1 / j);
  const trackAt = radialFan(setup.mast, zoom, stepM, geometry.radiusSteps);
  const { start, cells } = plan;
  const stepsPerM = 1 / stepM;
  const bullingtonDb = setup.useTables ? tabulatedBullingtonDb : exactBullingtonDb;
  const { excessDb, raysCdeg, cellClass } = rasters;

  /** Loss, ray angles and class of one cell whose path has the samples 1..samples (at least one). */
  function answerCell(cell: number, samples: number, top: number): void {
    const ground = cellAmslM[cell];
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
      lossDb = bullingtonDb(nu2, tailDb);
      sight = CELL_CLASS.blocked;
    } else if (nu2 < CLEAR_NU2) {
      const least = leastNuSquared(radial, mast, top, samples);
      if (least < CLEAR_NU2) sight = CELL_CLASS.grazing;
      if (least < NO_LOSS_NU2) lossDb = withTailDb(knifeEdgeLossDb(-Math.sqrt(least)), tailDb);
    }
    const rise = (slope + bulgeM * x) * stepsPerM;
    excessDb[cell] = lossDb + smoothEarthExcessDb(radial, mast, samples, tailDb) + slantDb(rise);
    cellClass[cell] = sight;
    raysCdeg[2 * cell] = centidegrees((slope + Math.max(0, a)) * stepsPerM);
    raysCdeg[2 * cell + 1] = centidegrees((Math.max(0, b) - slope - 2 * bulgeM * x) * stepsPerM);
  }

  /** A cell so near that no sample lies between: no obstacle, a straight ray. */
  function answerNearCell(cell: number): void {
    const ground = cellAmslM[cell];
    const rise = (ground + kitHeightAglM - antennaAmslM) / (Math.max(scalars[AT.range] as number, LEAST_RANGE) * stepM);
    excessDb[cell] = slantDb(rise);
    cellClass[cell] = CELL_CLASS.clear;
    raysCdeg[2 * cell] = centidegrees(rise);
    raysCdeg[2 * cell + 1] = centidegrees(-rise);
  }

  function markUnknown(cell: number): void {
    excessDb[cell] = Number.NaN;
    cellClass[cell] = CELL_CLASS.notKnown;
  }

  /** Range of a packed cell from the mast, steps. */
  function rangeOf(packed: number): number {
    const north = northM[packed >>> 16];
    const east = eastPerColumnM[packed >>> 16] * ((packed & 0xffff) + 0.5 - originColumn);
    return Math.sqrt(north * north + east * east) * stepsPerM;
  }

  /** Walks one radial outward: pushes samples, answers each cell once the last sample before it is in. */
  return function sweepRadial(radialNumber: number): void {
    const end = start[radialNumber + 1];
    let index = start[radialNumber];
    if (index === end) return;
    const azimuthDeg = ((radialNumber + 0.5) * 360) / geometry.radialCount;
    const { columnPerStep, columnPerStep2, rowPerStep, rowPerStep2 } = trackAt(azimuthDeg);
    let x = rangeOf(cells[index]);
    let top = -1;
    let mastSlope = Number.NEGATIVE_INFINITY;
    let mastSlopeBare = Number.NEGATIVE_INFINITY;
    let fit1 = 0;
    let fit2 = 0;
    let lastBare = mast.mastGroundM;
    let unknown = false;
    for (let j = 0; ; j++) {
      if (j > 0 && !unknown) {
        const column = (originColumn + j * (columnPerStep + columnPerStep2 * j)) * scale - 0.5;
        const row = (originRow + j * (rowPerStep + rowPerStep2 * j)) * scale - 0.5;
        const h = sampleBilinear(surfaceAmslM, sampleWidth, column, row);
        const hBare = oneSurface ? h : sampleBilinear(bareAmslM, sampleWidth, column, row);
        unknown = Number.isNaN(h) || Number.isNaN(hBare);
        const q = h - bulgeM * j * j;
        flat[j] = q;
        bare[j] = hBare;
        fit1 += hBare + lastBare;
        fit2 += hBare * (3 * j - 1) + lastBare * (3 * j - 2);
        lastBare = hBare;
        mastSlope = Math.max(mastSlope, (q - antennaAmslM) * inverse[j]);
        mastSlopeBare = Math.max(mastSlopeBare, (hBare - antennaAmslM) * inverse[j]);
        while (top > 0 && q >= hullHeight[top] + hullSlope[top] * (j - hullAt[top])) top--;
        hullSlope[top + 1] = j > 1 ? (q - hullHeight[top]) * inverse[j - hullAt[top]] : NO_EDGE;
        top++;
        hullAt[top] = j;
        hullHeight[top] = q;
      }
      while (x < j + 1.5) {
        const packed = cells[index];
        const cell = (packed >>> 16) * width + (packed & 0xffff);
        scalars[AT.range] = x;
        scalars[AT.mastSlope] = mastSlope;
        scalars[AT.mastSlopeBare] = mastSlopeBare;
        scalars[AT.fit1] = fit1;
        scalars[AT.fit2] = fit2;
        scalars[AT.lastBare] = lastBare;
        if (unknown || Number.isNaN(cellAmslM[cell])) markUnknown(cell);
        else if (j === 0) answerNearCell(cell);
        else answerCell(cell, j, top);
        index++;
        if (index === end) return;
        x = rangeOf(cells[index]);
      }
    }
  };
}

/** 10 / ln 10. */
const DB_PER_NEPER = 10 / Math.LN10;

/** Loss of the slant path over its ground distance, dB: 10 log10(1 + rise^2). Source: ITU-R P.1812-6 eq (8). */
function slantDb(rise: number): number {
  const s = rise * rise;
  if (s > 0.01) return 10 * Math.log10(1 + s);
  return DB_PER_NEPER * s * (1 - s * (1 / 2 - s * (1 / 3 - s * (1 / 4 - s * (1 / 5 - s / 6)))));
}

/** Angle of a slope in hundredths of a degree. */
function centidegrees(slope: number): number {
  const square = slope * slope;
  const angle = square < 0.04 ? slope * (1 - square * (1 / 3 - square * (1 / 5 - square / 7))) : Math.atan(slope);
  return Math.floor(angle * (100 * DEG_PER_RAD) + 0.5);
}
