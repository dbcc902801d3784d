import type { RadialTrack } from "@fellmark/geodesy";
import { findSkip } from "./cpe-horizon.ts";
import { BLOCK_BITS, type MastConstants, type RadialState, type TreelessRadial } from "./radial-state.ts";

/** A raster of sample heights and the lattice position of the mast in it, counted from the first sample's centre. */
export interface SampleGrid {
  width: number;
  /** Sample cells along one side of a cell of the window. */
  scale: 1 | 2;
  originColumn: number;
  originRow: number;
}

/** Heights of the samples 1..count along a track, bilinear; NaN where one of the four cells around is not known. */
export function readHeights(
  heights: Float32Array,
  grid: SampleGrid,
  track: RadialTrack,
  count: number,
  into: Float64Array,
): void {
  const { width, scale, originColumn, originRow } = grid;
  const column1 = track.columnPerStep * scale;
  const column2 = track.columnPerStep2 * scale;
  const row1 = track.rowPerStep * scale;
  const row2 = track.rowPerStep2 * scale;
  for (let j = 1; j <= count; j++) {
    const column = originColumn + j * (column1 + column2 * j);
    const row = originRow + j * (row1 + row2 * j);
    const left = column | 0;
    const above = row | 0;
    const u = column - left;
    const at = above * width + left;
    const north = heights[at] * (1 - u) + heights[at + 1] * u;
    const south = heights[at + width] * (1 - u) + heights[at + width + 1] * u;
    into[j] = north + (south - north) * (row - above);
  }
}

/** Number of the last sample before the first that is not known. */
export function countKnownSamples({ surface, bare, treeless }: RadialState, count: number): number {
  const solid = treeless?.solid ?? bare;
  for (let j = 1; j <= count; j++) if (Number.isNaN(surface[j] + bare[j] + solid[j])) return j - 1;
  return count;
}

/**
 * Pushes the samples 1..count, whose heights are known, onto the hull, and keeps maxima and sums: the rest of the state.
 * @param inverse 1 / j.
 */
export function pushSamples(radial: RadialState, mast: MastConstants, inverse: Float64Array, count: number): void {
  const { surface, bare, flat, mastSlope, mastSlopeBare, fit1, fit2, hullLeft, hullSlope, hullSkip } = radial;
  const { bulgeM, antennaAmslM, mastGroundM } = mast;
  let slopeMax = Number.NEGATIVE_INFINITY;
  let slopeMaxBare = Number.NEGATIVE_INFINITY;
  let v1 = 0;
  let v2 = 0;
  let lastBare = mastGroundM;
  for (let j = 1; j <= count; j++) {
    const q = surface[j] - bulgeM * j * j;
    const hBare = bare[j];
    flat[j] = q;
    v1 += hBare + lastBare;
    v2 += (hBare + lastBare) * (3 * j - 2) + hBare;
    lastBare = hBare;
    fit1[j] = v1;
    fit2[j] = v2;
    const perStep = inverse[j];
    const slope = (q - antennaAmslM) * perStep;
    const slopeBare = (hBare - antennaAmslM) * perStep;
    if (slope > slopeMax) slopeMax = slope;
    if (slopeBare > slopeMaxBare) slopeMaxBare = slopeBare;
    mastSlope[j] = slopeMax;
    mastSlopeBare[j] = slopeMaxBare;
    if (j === 1) continue;
    let left = j - 1;
    while (q >= flat[left] + hullSlope[left] * (j - left)) left = hullLeft[left];
    hullSlope[j] = (q - flat[left]) * inverse[j - left];
    hullLeft[j] = left;
    hullSkip[j] = findSkip(hullSkip, j, left);
  }
}

/** Pushes the samples 1..count, which are pushed on the surface, onto the horizon without trees, and keeps tree tops. */
export function pushTreeless(
  { solid, flat, mastSlope, hullLeft, hullSlope, hullSkip, treeTop }: TreelessRadial,
  surface: Pick<RadialState, "surface" | "flat">,
  { bulgeM, antennaAmslM }: MastConstants,
  inverse: Float64Array,
  count: number,
): void {
  treeTop.fill(Number.NEGATIVE_INFINITY, 0, (count >> BLOCK_BITS) + 1);
  let slopeMax = Number.NEGATIVE_INFINITY;
  for (let j = 1; j <= count; j++) {
    const q = solid[j] - bulgeM * j * j;
    flat[j] = q;
    const top = surface.flat[j];
    if (surface.surface[j] > solid[j] && top > treeTop[j >> BLOCK_BITS]) treeTop[j >> BLOCK_BITS] = top;
    const slope = (q - antennaAmslM) * inverse[j];
    if (slope > slopeMax) slopeMax = slope;
    mastSlope[j] = slopeMax;
    if (j === 1) continue;
    let left = j - 1;
    while (q >= flat[left] + hullSlope[left] * (j - left)) left = hullLeft[left];
    hullSlope[j] = (q - flat[left]) * inverse[j - left];
    hullLeft[j] = left;
    hullSkip[j] = findSkip(hullSkip, j, left);
  }
}
