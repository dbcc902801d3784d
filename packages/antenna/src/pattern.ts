/** One of the two polarisations of an antenna: 0 is horizontal or +45 degrees, 1 vertical or -45. */
export type Port = 0 | 1;

/** Gain of an antenna over the full sphere. */
export interface AntennaPattern {
  /** Greatest gain over the sphere and both ports, dBi. */
  peakGainDbi: number;
  /**
   * Gain of a port toward a direction, dBi. In the antenna's own frame azimuth is clockwise from boresight seen from
   * above, -180 to 180, and elevation is positive up, -90 to 90.
   */
  gainDbi(azimuthDeg: number, elevationDeg: number, port: Port): number;
}

/** An antenna of equal gain in all directions. With a gain above 0 dBi it stands for one that is always aimed. */
export function isotropicPattern(gainDbi: number): AntennaPattern {
  return { peakGainDbi: gainDbi, gainDbi: () => gainDbi };
}
