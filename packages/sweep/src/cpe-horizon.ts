import { BLOCK_BITS, type Horizon } from "./radial-state.ts";

/** The hull vertex of `hullSkip` for sample j whose left neighbour on the hull is `left`. */
export function findSkip(hullSkip: Int32Array, j: number, left: number): number {
  return left >> BLOCK_BITS < j >> BLOCK_BITS ? left : hullSkip[left];
}

/**
 * Hull vertex that the tangent from the cell's antenna touches: the horizon seen from the CPE, for deep hulls.
 * The antenna stands at `heightM` in the flat frame at range x, right of and above the edge left of vertex `from`.
 * Going left, the antenna lies above the extension of every edge until the tangent is reached, so whole blocks can be
 * skipped: over a smooth sea the horizon is hundreds of vertices away.
 */
export function findFarHorizon(horizon: Horizon, from: number, x: number, heightM: number): number {
  const { flat, hullLeft, hullSlope, hullSkip } = horizon;
  let vertex = from;
  for (let skip = hullSkip[vertex]; heightM > flat[skip] + hullSlope[skip] * (x - skip); skip = hullSkip[skip]) {
    vertex = skip;
  }
  while (heightM > flat[vertex] + hullSlope[vertex] * (x - vertex)) vertex = hullLeft[vertex];
  return vertex;
}
