import { AT, type RadialState } from "./radial-state.ts";

/** Vertices tried one by one before the search gallops. */
const LINEAR_TRIES = 6;

/**
 * Hull vertex that the tangent from the cell's antenna touches: the horizon seen from the kit.
 * The antenna stands at `heightM` in the flat frame, to the right of the hull whose last vertex is `top`.
 * Going left, the antenna lies above the extension of every edge until the tangent is reached.
 */
export function kitHorizonVertex(radial: RadialState, top: number, heightM: number): number {
  const { hullAt, hullHeight, hullSlope } = radial;
  const x = radial.scalars[AT.range];
  let vertex = top;
  for (let tries = 0; tries < LINEAR_TRIES; tries++) {
    if (heightM <= hullHeight[vertex] + hullSlope[vertex] * (x - hullAt[vertex])) return vertex;
    vertex--;
  }
  let low = 0;
  for (let stride = 2; vertex - stride > 0; stride *= 2) {
    const probe = vertex - stride;
    if (heightM <= hullHeight[probe] + hullSlope[probe] * (x - hullAt[probe])) {
      low = probe;
      break;
    }
    vertex = probe - 1;
  }
  while (low < vertex) {
    const middle = (low + vertex + 1) >> 1;
    if (heightM <= hullHeight[middle] + hullSlope[middle] * (x - hullAt[middle])) low = middle;
    else vertex = middle - 1;
  }
  return low;
}
