import type { AntennaPattern } from "./pattern.ts";

const PEAK_GAIN_DBI = 8;
const HALF_POWER_WIDTH_DEG = 65;
/** SLA_V and A_max of the source, dB. */
const GREATEST_ATTENUATION_DB = 30;

/**
 * Returns the antenna element of 3GPP TR 38.901, 8 dBi, 65 by 65 degrees, both ports alike.
 * Source: 3GPP TR 38.901, table 7.3-1; its zenith angle is 90 degrees minus the elevation here.
 * Accuracy: a stated shape, not a balance of power: its sphere mean is 0.6568, a loss of 1.83 dB, which is kept.
 * Example: 8 dBi ahead, 5 dBi at 32.5 degrees aside, -22 dBi behind.
 */
export function createTr38901Pattern(): AntennaPattern {
  return {
    peakGainDbi: PEAK_GAIN_DBI,
    levels: "actual",
    gainDbi(azimuthDeg, elevationDeg) {
      const attenuationDb = computeCutAttenuationDb(azimuthDeg) + computeCutAttenuationDb(elevationDeg);
      return PEAK_GAIN_DBI - Math.min(attenuationDb, GREATEST_ATTENUATION_DB);
    },
  };
}

function computeCutAttenuationDb(angleDeg: number): number {
  return Math.min(12 * (angleDeg / HALF_POWER_WIDTH_DEG) ** 2, GREATEST_ATTENUATION_DB);
}
