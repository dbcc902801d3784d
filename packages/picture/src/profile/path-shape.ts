import { computeWavelengthM } from "@fellmark/units";
import type { BlockingPlace, ProfileToDraw } from "./profile-to-draw.ts";

/** A profile as it is drawn: heights over the chord of the sea between both ends, so the sight line is straight. */
export interface PathShape {
  lengthM: number;
  /** Ground by column, from the mast to the CPE at equal steps; NaN where not known. */
  groundM: Float64Array;
  /** Ground and what stands on it; the ground alone where that is not known. */
  topM: Float64Array;
  /** Antennas at both ends; NaN where the ground under them is not known. */
  mastTipM: number;
  cpeTipM: number;
  /** The numbered places, in their order from the mast. */
  blocking: { distanceM: number; heightM: number }[];
}

/** More blocking places than this are not numbered. */
const MOST_NUMBERED = 8;

/** The blocking places that stand highest over the line, in their order from the mast. */
export function pickNumberedPlaces(blocking: readonly BlockingPlace[]): BlockingPlace[] {
  const worst = blocking.toSorted((a, b) => b.excessM - a.excessM).slice(0, MOST_NUMBERED);
  return worst.sort((a, b) => a.distanceM - b.distanceM);
}

export function buildPathShape(profile: ProfileToDraw, columns: number): PathShape {
  const { distanceM, groundAmslM, clutterHeightM, mast, cpe } = profile;
  const last = distanceM.length - 1;
  const lengthM = distanceM[last];
  const curveM = (atM: number) => computeBulgeM(atM, lengthM - atM, profile.effectiveEarthRadiusM);
  const groundM = groundAmslM.map((heightM, at) => (heightM ?? Number.NaN) + curveM(distanceM[at]));
  const topM = groundM.map((heightM, at) => heightM + Math.max(0, clutterHeightM?.[at] ?? 0));
  return {
    lengthM,
    groundM: findHighestByColumn(distanceM, groundM, columns),
    topM: findHighestByColumn(distanceM, topM, columns),
    mastTipM: groundM[0] + mast.heightAglM,
    cpeTipM: groundM[last] + cpe.heightAglM,
    blocking: pickNumberedPlaces(profile.blocking).map(({ distanceM: atM, heightAmslM }) => ({
      distanceM: atM,
      heightM: heightAmslM + curveM(atM),
    })),
  };
}

/** The same path with all heights from the line of sight, which becomes level. */
export function levelShape(shape: PathShape): PathShape {
  const { lengthM, groundM, topM, blocking } = shape;
  const lineOfColumnM = (column: number) => computeLineM(shape, (lengthM * column) / (groundM.length - 1));
  return {
    lengthM,
    groundM: groundM.map((heightM, column) => heightM - lineOfColumnM(column)),
    topM: topM.map((heightM, column) => heightM - lineOfColumnM(column)),
    mastTipM: 0,
    cpeTipM: 0,
    blocking: blocking.map(({ distanceM, heightM }) => ({
      distanceM,
      heightM: heightM - computeLineM(shape, distanceM),
    })),
  };
}

export function hasLine({ mastTipM, cpeTipM }: PathShape): boolean {
  return Number.isFinite(mastTipM) && Number.isFinite(cpeTipM);
}

/** Height of the straight line between the antennas. */
export function computeLineM({ lengthM, mastTipM, cpeTipM }: PathShape, distanceM: number): number {
  return mastTipM + ((cpeTipM - mastTipM) * distanceM) / lengthM;
}

/**
 * Earth bulge: rise of the ground over the straight line between two ends, m:
 * d1 d2 / (2 Re), with d1 and d2 the distances from the ends and Re the effective radius.
 * Example: half way of 10 km over 4/3 of 6,371 km, 1.47 m.
 */
export function computeBulgeM(fromMastM: number, fromCpeM: number, effectiveEarthRadiusM: number): number {
  return (fromMastM * fromCpeM) / (2 * effectiveEarthRadiusM);
}

/**
 * Radius of the first Fresnel zone, m: sqrt(lambda d1 d2 / (d1 + d2)).
 * Source: ITU-R P.526-15, section 2, eq (2) with n = 1. Example: half way of 5 km at 5.8 GHz, 8.04 m.
 */
export function computeFirstZoneRadiusM(fromMastM: number, fromCpeM: number, frequencyGhz: number): number {
  return Math.sqrt((computeWavelengthM(frequencyGhz) * fromMastM * fromCpeM) / (fromMastM + fromCpeM));
}

/**
 * Highest value within half a step of each column, so that no summit is lost between two. NaN where a sample within it,
 * or the nearest, is NaN: neither is a gap lost.
 */
function findHighestByColumn(distanceM: number[], valueM: number[], columns: number): Float64Array {
  const stepM = distanceM[distanceM.length - 1] / (columns - 1);
  const highestM = new Float64Array(columns);
  let after = 1;
  let unseen = 0;
  for (let column = 0; column < columns; column++) {
    const atM = column * stepM;
    while (after < distanceM.length - 1 && distanceM[after] < atM) after++;
    const share = (atM - distanceM[after - 1]) / (distanceM[after] - distanceM[after - 1]);
    highestM[column] = interpolate(valueM[after - 1], valueM[after], share);
    while (unseen < distanceM.length && distanceM[unseen] <= atM + stepM / 2) {
      highestM[column] = Math.max(highestM[column], valueM[unseen++]);
    }
  }
  return highestM;
}

/** Straight between two known values; beside an unknown one, the nearer of the two. */
function interpolate(before: number, after: number, share: number): number {
  const straight = before + share * (after - before);
  if (!Number.isNaN(straight)) return straight;
  return share < 0.5 ? before : after;
}
