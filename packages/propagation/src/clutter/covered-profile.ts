import { computeEarthBulgeM } from "../path/effective-earth.ts";

/**
 * Heights along one path with what stands on the ground, from the transmitter to the receiver. All arrays have the same
 * length, 2 or more. Heights are straight between points. A height that is not known is NaN. What stands at the two end
 * points is no obstacle: an antenna is never inside its own building. Trees there count for the length inside them.
 */
export interface CoveredProfile {
  /** Distance from the transmitter, m: first 0, strictly rising. */
  distanceM: Float64Array;
  /** Bare ground, m above sea level. */
  groundAmslM: Float64Array;
  /** Tops of trees and of buildings above the ground, m; 0 where none stands. */
  canopyHeightM: Float64Array;
  buildingHeightM: Float64Array;
}

/** Ends of the line between two antennas, and the Earth that it passes over. */
export interface AntennaLine {
  /** Antenna heights above sea level, m. */
  txAmslM: number;
  rxAmslM: number;
  effectiveEarthRadiusM: number;
  /** Wavelength, m; 0 counts the line alone, a zone without width. */
  wavelengthM: number;
}

/** Position of one point of a profile against the line between the antennas. */
export interface LinePoint {
  /** Distances to transmitter and receiver, m. */
  fromTxM: number;
  fromRxM: number;
  /** Height of the line there, m above sea level, less the Earth's bulge: comparable with heights of the profile. */
  lineAmslM: number;
  /** Radius of the first Fresnel zone, m. */
  fresnelRadiusM: number;
}

/** Place of an interior point of a path against the line between its antennas. */
export function locateOnLine(distanceM: Float64Array, i: number, line: AntennaLine): LinePoint {
  const pathM = distanceM[distanceM.length - 1];
  const fromTxM = distanceM[i];
  const fromRxM = pathM - fromTxM;
  const { txAmslM, rxAmslM, effectiveEarthRadiusM, wavelengthM } = line;
  const straightM = (txAmslM * fromRxM + rxAmslM * fromTxM) / pathM;
  return {
    fromTxM,
    fromRxM,
    lineAmslM: straightM - computeEarthBulgeM(fromTxM, fromRxM, effectiveEarthRadiusM),
    fresnelRadiusM: Math.sqrt((wavelengthM * fromTxM * fromRxM) / pathM),
  };
}
