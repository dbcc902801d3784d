import type { GeodesicLine } from "@fellmark/geodesy";
import type { TerrainMosaic } from "@fellmark/terrain";
import { RAD_PER_DEG } from "@fellmark/units";

/** The lowest ground of every block of an area: small enough to look along many paths without waiting for memory. */
export interface LowGround {
  west: number;
  south: number;
  /** Degrees of a block. */
  acrossDeg: number;
  upDeg: number;
  width: number;
  height: number;
  /** Row-major from the south, m above sea level; OPEN_AMSL_M where some of it is not known. */
  lowestAmslM: Float32Array;
}

/** Steps of the terrain to a side of a block. */
const STEPS_TO_A_BLOCK = 8;

/** Lower than any ground: where nothing is known nothing stands in the way. */
const OPEN_AMSL_M = -1e4;

/** Metres of a degree of latitude, at least. */
export const METRES_PER_DEG = 110_500;

/** The lowest of the heights at the terrain's own step, edges of the blocks included. */
export function createLowGround(mosaic: TerrainMosaic): LowGround {
  const [west, south, east, north] = mosaic.bbox;
  const upDeg = (mosaic.stepM * STEPS_TO_A_BLOCK) / METRES_PER_DEG;
  const acrossDeg = upDeg / Math.cos(Math.max(Math.abs(south), Math.abs(north)) * RAD_PER_DEG);
  const width = Math.max(1, Math.ceil((east - west) / acrossDeg));
  const height = Math.max(1, Math.ceil((north - south) / upDeg));
  const lowestAmslM = new Float32Array(width * height).fill(Number.POSITIVE_INFINITY);
  for (let up = 0; up <= height * STEPS_TO_A_BLOCK; up++) {
    const lat = south + (up * upDeg) / STEPS_TO_A_BLOCK;
    for (let across = 0; across <= width * STEPS_TO_A_BLOCK; across++) {
      const heightM = mosaic.findHeightAmslM(west + (across * acrossDeg) / STEPS_TO_A_BLOCK, lat);
      lower(lowestAmslM, width, { up, across }, Number.isNaN(heightM) ? OPEN_AMSL_M : heightM);
    }
  }
  return { west, south, acrossDeg, upDeg, width, height, lowestAmslM };
}

/** A sample on an edge belongs to the blocks on both sides. */
function lower(lowestAmslM: Float32Array, width: number, at: { up: number; across: number }, heightM: number): void {
  const height = lowestAmslM.length / width;
  const [lastRow, lastColumn] = [Math.floor(at.up / STEPS_TO_A_BLOCK), Math.floor(at.across / STEPS_TO_A_BLOCK)];
  for (let row = Math.ceil(at.up / STEPS_TO_A_BLOCK) - 1; row <= lastRow; row++) {
    for (let column = Math.ceil(at.across / STEPS_TO_A_BLOCK) - 1; column <= lastColumn; column++) {
      if (row < 0 || column < 0 || row >= height || column >= width) continue;
      const block = row * width + column;
      if (heightM < lowestAmslM[block]) lowestAmslM[block] = heightM;
    }
  }
}

/** Writes the lowest ground of the blocks under equal steps along a line of three nodes; of the ends their own ground. */
export function sampleLowGround(
  { west, south, acrossDeg, upDeg, width, height, lowestAmslM }: LowGround,
  { nodeLon, nodeLat }: GeodesicLine,
  ends: { fromAmslM: number; toAmslM: number },
  out: Float64Array,
): void {
  const last = out.length - 1;
  const turnDeg = 360 * Math.round((west + (acrossDeg * width) / 2 - nodeLon[0]) / 360);
  for (let i = 1; i < last; i++) {
    const share = (2 * i) / last - 1;
    const column = Math.floor((fitParabola(nodeLon, share) + turnDeg - west) / acrossDeg);
    const row = Math.floor((fitParabola(nodeLat, share) - south) / upDeg);
    const isInside = column >= 0 && column < width && row >= 0 && row < height;
    out[i] = isInside ? lowestAmslM[row * width + column] : OPEN_AMSL_M;
  }
  out[0] = ends.fromAmslM;
  out[last] = ends.toAmslM;
}

/** Through three nodes at -1, 0 and 1. */
function fitParabola(nodes: Float64Array, x: number): number {
  return nodes[1] + (x * (nodes[2] - nodes[0] + x * (nodes[2] - 2 * nodes[1] + nodes[0]))) / 2;
}
