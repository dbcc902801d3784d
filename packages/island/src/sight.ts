import { computeDistanceM, EAST_M, type Island, NORTH_M } from "./island-terrain.ts";

/** An antenna above a sample of the island. */
export interface Stand {
  index: number;
  heightAglM: number;
}

/** Twice the Earth's radius of 6,371 km, times the 4/3 of ordinary air, m. */
const BULGE_M = (2 * 6_371_000 * 4) / 3;

/**
 * Returns the height of the highest ground between two antennas above the straight line between them, m; negative for a
 * clear line. The ground is that of the nearest sample.
 */
export function computeGroundOverLineM(island: Island, from: Stand, to: Stand): number {
  const { width, heightsM } = island;
  const column = from.index % width;
  const row = (from.index - column) / width;
  const columns = (to.index % width) - column;
  const rows = Math.floor(to.index / width) - row;
  const lengthM = computeDistanceM(island, from.index, to.index);
  const fromM = heightsM[from.index] + from.heightAglM;
  const riseM = heightsM[to.index] + to.heightAglM - fromM;
  const steps = Math.max(Math.abs(columns), Math.abs(rows));
  let overM = Number.NEGATIVE_INFINITY;
  for (let step = 1; step < steps; step++) {
    const share = step / steps;
    const groundM = heightsM[(row + Math.round(rows * share)) * width + column + Math.round(columns * share)];
    const bulgeM = (share * (1 - share) * lengthM * lengthM) / BULGE_M;
    overM = Math.max(overM, groundM + bulgeM - fromM - riseM * share);
  }
  return overM;
}

/** True where a place lies within 45 degrees of an azimuth, seen from another. */
export function isInBeam({ width }: Island, from: number, to: number, azimuthDeg: number): boolean {
  const eastM = ((to % width) - (from % width)) * EAST_M;
  const northM = (Math.floor(from / width) - Math.floor(to / width)) * NORTH_M;
  const azimuthRad = (azimuthDeg * Math.PI) / 180;
  const alongM = eastM * Math.sin(azimuthRad) + northM * Math.cos(azimuthRad);
  return alongM >= Math.SQRT1_2 * Math.sqrt(eastM * eastM + northM * northM);
}
