/**
 * Specific attenuation of oxygen at each whole GHz from 54 to 86, dB/km, in standard air at sea level.
 * Source: ITU-R P.676-13, Annex 1 (line by line), 1013.25 hPa and 288.15 K, to four digits.
 */
const FROM_54_GHZ_DB_PER_KM = [
  2.212, 4.193, 7.055, 10.07, 12.35, 13.64, 14.62, 15.01, 14.0, 10.83, 6.845, 3.809, 1.967, 1.033, 0.6055, 0.407,
  0.3041, 0.2416, 0.1985, 0.167, 0.1431, 0.1245, 0.1096, 0.09753, 0.08758, 0.07929, 0.07231, 0.06638, 0.0613, 0.05694,
  0.05316, 0.04989, 0.04703,
];
const FIRST_GHZ = 54;

/** Highest frequency of the table, GHz. */
export const OXYGEN_BAND_MAX_GHZ = FIRST_GHZ + FROM_54_GHZ_DB_PER_KM.length - 1;

/**
 * Returns the specific attenuation of oxygen from 54 to 86 GHz in standard air, dB/km, interpolated in its logarithm.
 * Accuracy: exact at whole GHz, 3 % between them. Example: 60 GHz: 14.62 dB/km; 80 GHz: 0.07231 dB/km.
 */
export function interpolateOxygenDbPerKm(frequencyGhz: number): number {
  const place = frequencyGhz - FIRST_GHZ;
  const index = Math.min(Math.floor(place), FROM_54_GHZ_DB_PER_KM.length - 2);
  const [low, high] = [FROM_54_GHZ_DB_PER_KM[index], FROM_54_GHZ_DB_PER_KM[index + 1]];
  return low * (high / low) ** (place - index);
}
