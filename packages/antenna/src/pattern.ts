import { InputError } from "@fellmark/units";

/** One of the two polarisations of an antenna: 0 is horizontal or +45 degrees, 1 vertical or -45. */
export type Port = 0 | 1;

/** Gain of an antenna over the full sphere. */
export interface AntennaPattern {
  /** Greatest gain over the sphere and both ports, dBi. */
  peakGainDbi: number;
  /**
   * Co-polar gain of a port toward a direction, dBi. In the antenna's own frame azimuth is clockwise from boresight
   * seen from above, -180 to 180, and elevation is positive up, -90 to 90.
   */
  gainDbi(azimuthDeg: number, elevationDeg: number, port: Port): number;
  /** Cross-polar gain of a port, dBi. Absent: not known. */
  crossGainDbi?(azimuthDeg: number, elevationDeg: number, port: Port): number;
  /**
   * Meaning of the levels. "actual" may be used anywhere; "average" smooths the lobes of many antennas and may enter
   * sums of interference; "envelope" lies above every side lobe and must not enter them.
   */
  levels: "actual" | "average" | "envelope";
  /** Gain, linear, that the levels of each port hold in every direction for what its mast scatters. Absent: none. */
  scatteredGain?: number;
}

/** Returns an antenna of equal gain in all directions. A gain above 0 dBi models an antenna that is always aimed. */
export function createIsotropicPattern(gainDbi: number): AntennaPattern {
  return { peakGainDbi: gainDbi, gainDbi: () => gainDbi, levels: "actual" };
}

/**
 * Refuses an envelope in a sum of interference: it would count side-lobe power that no antenna has (F.699 at 5.8 GHz
 * integrates to more than twice the power fed).
 * @param pointer JSON pointer of the antenna, for the error.
 * Throws InputError where the pattern is an envelope.
 */
export function refuseEnvelope(pattern: AntennaPattern, pointer: string): void {
  if (pattern.levels !== "envelope") return;
  const detail = "a peak envelope may not enter interference; use an average pattern or the antenna's own";
  throw new InputError([{ pointer, detail, limit: "actual or average levels" }]);
}
