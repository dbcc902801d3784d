import { DEG_PER_RAD, normaliseSignedDeg, RAD_PER_DEG } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";

/** The direction of the greatest co-polar gain of a port. */
export interface Peak {
  azimuthDeg: number;
  elevationDeg: number;
  gainDbi: number;
}

const COARSE_STEP_DEG = 2;
const FINEST_STEP_DEG = 0.005;
/** A gain must win by more than rounding, so that equal peaks leave boresight where it is. */
const LEAST_RISE_DB = 1e-9;

/** Returns the peak of a port over the whole sphere; among equal ones the one at boresight. */
export function findPeak(pattern: AntennaPattern, port: Port): Peak {
  let peak: Peak = { azimuthDeg: 0, elevationDeg: 0, gainDbi: pattern.gainDbi(0, 0, port) };
  const better = (azimuthDeg: number, elevationDeg: number): boolean => {
    if (Math.abs(elevationDeg) > 90) return false;
    const gainDbi = pattern.gainDbi(azimuthDeg, elevationDeg, port);
    if (!(gainDbi > peak.gainDbi + LEAST_RISE_DB)) return false;
    peak = { azimuthDeg, elevationDeg, gainDbi };
    return true;
  };
  for (let elevationDeg = -90; elevationDeg <= 90; elevationDeg += COARSE_STEP_DEG) {
    for (let azimuthDeg = -180; azimuthDeg < 180; azimuthDeg += COARSE_STEP_DEG) better(azimuthDeg, elevationDeg);
  }
  for (let stepDeg = COARSE_STEP_DEG / 2; stepDeg > FINEST_STEP_DEG; stepDeg /= 2) climb(() => peak, better, stepDeg);
  return peak;
}

function climb(peakNow: () => Peak, better: (azimuthDeg: number, elevationDeg: number) => boolean, stepDeg: number) {
  for (let moved = true; moved; ) {
    const { azimuthDeg, elevationDeg } = peakNow();
    const east = normaliseSignedDeg(azimuthDeg + stepDeg);
    const west = normaliseSignedDeg(azimuthDeg - stepDeg);
    moved = better(east, elevationDeg) || better(west, elevationDeg);
    moved = better(azimuthDeg, elevationDeg + stepDeg) || better(azimuthDeg, elevationDeg - stepDeg) || moved;
  }
}

/** A direction of the antenna's own frame; one record is reused to save allocations. */
export interface Direction {
  azimuthDeg: number;
  elevationDeg: number;
}

/**
 * Writes the direction `offDeg` from the peak along a ray that leaves it at `rayDeg`, clockwise from straight up.
 * Source: the direct problem on the unit sphere.
 */
export function setDirectionAlongRay(peak: Peak, offDeg: number, rayDeg: number, into: Direction): void {
  const [off, ray, upAtPeak] = [offDeg * RAD_PER_DEG, rayDeg * RAD_PER_DEG, peak.elevationDeg * RAD_PER_DEG];
  const sine = Math.sin(upAtPeak) * Math.cos(off) + Math.cos(upAtPeak) * Math.sin(off) * Math.cos(ray);
  const sineOfUp = Math.min(Math.max(sine, -1), 1);
  const aside = Math.atan2(
    Math.sin(ray) * Math.sin(off) * Math.cos(upAtPeak),
    Math.cos(off) - Math.sin(upAtPeak) * sineOfUp,
  );
  into.azimuthDeg = normaliseSignedDeg(peak.azimuthDeg + aside * DEG_PER_RAD);
  into.elevationDeg = Math.asin(sineOfUp) * DEG_PER_RAD;
}

/** Returns the angle off the peak and the ray, 0 to 360, of a direction: the inverse of `setDirectionAlongRay`. */
export function findRay(peak: Peak, azimuthDeg: number, elevationDeg: number): { offDeg: number; rayDeg: number } {
  const aside = (azimuthDeg - peak.azimuthDeg) * RAD_PER_DEG;
  const [up, upAtPeak] = [elevationDeg * RAD_PER_DEG, peak.elevationDeg * RAD_PER_DEG];
  const right = Math.sin(aside) * Math.cos(up);
  const above = Math.cos(upAtPeak) * Math.sin(up) - Math.sin(upAtPeak) * Math.cos(up) * Math.cos(aside);
  const ahead = Math.sin(upAtPeak) * Math.sin(up) + Math.cos(upAtPeak) * Math.cos(up) * Math.cos(aside);
  const rayDeg = Math.atan2(right, above) * DEG_PER_RAD;
  return { offDeg: Math.atan2(Math.hypot(right, above), ahead) * DEG_PER_RAD, rayDeg: (rayDeg + 360) % 360 };
}
