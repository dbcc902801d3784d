import { normaliseSignedDeg } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import type { Peak } from "./peak-frame.ts";

/** Gain in dBi around a full circle through the peak, which is at 0 degrees; the angle runs either way to 180. */
export type PlaneCut = (offDeg: number) => number;

/** Returns the cut around at the elevation of the peak; positive is clockwise from it. */
export function createAzimuthCut(pattern: AntennaPattern, port: Port, peak: Peak): PlaneCut {
  return (offDeg) => pattern.gainDbi(normaliseSignedDeg(peak.azimuthDeg + offDeg), peak.elevationDeg, port);
}

/** Returns the cut through zenith and nadir at the azimuth of the peak; positive is up from it. */
export function createElevationCut(pattern: AntennaPattern, port: Port, peak: Peak): PlaneCut {
  const behindDeg = normaliseSignedDeg(peak.azimuthDeg + 180);
  return (offDeg) => {
    const elevationDeg = normaliseSignedDeg(peak.elevationDeg + offDeg);
    if (Math.abs(elevationDeg) <= 90) return pattern.gainDbi(peak.azimuthDeg, elevationDeg, port);
    return pattern.gainDbi(behindDeg, elevationDeg > 0 ? 180 - elevationDeg : -180 - elevationDeg, port);
  };
}
