import { DEG_PER_RAD, TerrainError } from "@fellmark/units";
import { computeDiffractionParameter } from "./fresnel-zone.ts";
import { checkProfileShape, hasProfileGap, type PathProfile } from "./path-profile.ts";

/** Clear: 60 % of the first Fresnel zone free; grazing: in sight; blocked: not in sight. */
export type PathClass = "clear" | "grazing" | "blocked";

/** Share of the first Fresnel radius that a clear path keeps free. Source: common practice; nu = -0.85, so J = 0. */
export const CLEAR_FRESNEL_SHARE = 0.6;

/** Class of a path by its least clearance over the first Fresnel radius: a surface on the line blocks. */
export function findPathClass(fresnelClearance: number): PathClass {
  if (fresnelClearance <= 0) return "blocked";
  return fresnelClearance < CLEAR_FRESNEL_SHARE ? "grazing" : "clear";
}

export interface BlockingPoint {
  /** Distance from the transmitter, m. */
  distanceM: number;
  /** Height of the surface there, without the Earth's curvature, m above sea level. */
  heightAmslM: number;
  /** Height over the sight line, curvature included, m: 0 or more. */
  excessM: number;
}

export interface Horizon {
  /** Distance from the transmitter, m, for the horizon of either end. */
  distanceM: number;
  heightAmslM: number;
  /** Elevation angle from the antenna, positive up. */
  elevationDeg: number;
}

export interface PathGeometry {
  class: PathClass;
  /** Least clearance over the first Fresnel radius; negative when blocked, Infinity without interior points. */
  fresnelClearance: number;
  /** The interior point that stands highest over the sight line; null when in sight. */
  blocking: BlockingPoint | null;
  /** Elevation at which the ray leaves and arrives: the higher of the straight line and that end's horizon. */
  departureElevationDeg: number;
  arrivalElevationDeg: number;
  /** Interior point of the steepest elevation from each antenna; null without interior points. */
  horizons: { transmitter: Horizon | null; receiver: Horizon | null };
}

interface SightLine {
  distanceM: Float64Array;
  surfaceAmslM: Float64Array;
  txAmslM: number;
  rxAmslM: number;
  effectiveEarthRadiusM: number;
}

/**
 * Geometry of a path over its surface: class, clearance, the blocking point, and the angles of the ray at both ends.
 * Rays are straight over the effective Earth. A surface exactly on the sight line blocks, as in the Bullington part.
 * Source: sight line and nu as ITU-R P.526-15, section 4.5.1, eqs (46), (48); angles as P.1812-6, eqs (76) to (81).
 * Example: ridge of 60 m at 4 of 10 km, antennas 30 and 10 m, 4/3 Earth: blocked by 39.413 m at 4000 m.
 * Throws TerrainError "profile_gap" where a height is missing, RangeError on a malformed profile.
 */
export function findPathGeometry(
  profile: PathProfile,
  txHeightAglM: number,
  rxHeightAglM: number,
  wavelengthM: number,
  effectiveEarthRadiusM: number,
): PathGeometry {
  checkProfileShape(profile);
  if (hasProfileGap(profile)) throw new TerrainError("profile_gap", "the profile has points without a known height");
  const { distanceM, surfaceAmslM, bareAmslM } = profile;
  const last = distanceM.length - 1;
  const txAmslM = bareAmslM[0] + txHeightAglM;
  const rxAmslM = bareAmslM[last] + rxHeightAglM;
  const line = { distanceM, surfaceAmslM, txAmslM, rxAmslM, effectiveEarthRadiusM };
  const fresnelClearance = findLeastClearance(line, wavelengthM);
  const transmitter = findHorizon(line, "transmitter");
  const receiver = findHorizon(line, "receiver");
  const rise = rxAmslM - txAmslM;
  const straight = (riseM: number) => computeElevationDeg(riseM, distanceM[last], effectiveEarthRadiusM);
  return {
    class: findPathClass(fresnelClearance),
    fresnelClearance,
    blocking: findHighestObstacle(line),
    departureElevationDeg: Math.max(straight(rise), transmitter?.elevationDeg ?? -90),
    arrivalElevationDeg: Math.max(straight(-rise), receiver?.elevationDeg ?? -90),
    horizons: { transmitter, receiver },
  };
}

function findLeastClearance(line: SightLine, wavelengthM: number): number {
  const { distanceM } = line;
  const pathM = distanceM[distanceM.length - 1];
  let greatestNu = -Infinity;
  for (let i = 1; i < distanceM.length - 1; i++) {
    const nu = computeDiffractionParameter(computeExcessM(line, i), distanceM[i], pathM - distanceM[i], wavelengthM);
    greatestNu = Math.max(greatestNu, nu);
  }
  return -greatestNu / Math.SQRT2;
}

function findHighestObstacle(line: SightLine): BlockingPoint | null {
  let worst: BlockingPoint | null = null;
  for (let i = 1; i < line.distanceM.length - 1; i++) {
    const overM = computeExcessM(line, i);
    if (overM < 0 || (worst && overM <= worst.excessM)) continue;
    worst = { distanceM: line.distanceM[i], heightAmslM: line.surfaceAmslM[i], excessM: overM };
  }
  return worst;
}

/** Height of an interior point over the sight line, curvature included, m. */
function computeExcessM(line: SightLine, i: number): number {
  const { distanceM, surfaceAmslM, txAmslM, rxAmslM, effectiveEarthRadiusM } = line;
  const d1 = distanceM[i];
  const d2 = distanceM[distanceM.length - 1] - d1;
  const sightM = (txAmslM * d2 + rxAmslM * d1) / (d1 + d2);
  return surfaceAmslM[i] + (d1 * d2) / (2 * effectiveEarthRadiusM) - sightM;
}

function findHorizon(line: SightLine, from: "transmitter" | "receiver"): Horizon | null {
  const { distanceM, surfaceAmslM, effectiveEarthRadiusM } = line;
  const pathM = distanceM[distanceM.length - 1];
  const eyeAmslM = from === "transmitter" ? line.txAmslM : line.rxAmslM;
  let highest: Horizon | null = null;
  for (let i = 1; i < distanceM.length - 1; i++) {
    const awayM = from === "transmitter" ? distanceM[i] : pathM - distanceM[i];
    const angleDeg = computeElevationDeg(surfaceAmslM[i] - eyeAmslM, awayM, effectiveEarthRadiusM);
    if (highest && angleDeg <= highest.elevationDeg) continue;
    highest = { distanceM: distanceM[i], heightAmslM: surfaceAmslM[i], elevationDeg: angleDeg };
  }
  return highest;
}

/** Elevation of a point `riseM` higher and `awayM` away, which the curvature lowers by away^2 / (2 a). */
function computeElevationDeg(riseM: number, awayM: number, effectiveEarthRadiusM: number): number {
  return Math.atan(riseM / awayM - awayM / (2 * effectiveEarthRadiusM)) * DEG_PER_RAD;
}
