/** Returns the power ratio of a level in dB. `toRatio(3.0103)` is 2. */
export function toRatio(db: number): number {
  return 10 ** (db / 10);
}

/** Returns the level in dB of a power ratio; 0 gives -Infinity. */
export function toDb(ratio: number): number {
  return 10 * Math.log10(ratio);
}

/** Returns the milliwatts of a level in dBm. `toMilliwatts(30)` is 1000. */
export function toMilliwatts(powerDbm: number): number {
  return toRatio(powerDbm);
}

/** Returns the level in dBm of a power in milliwatts. */
export function toDbm(powerMw: number): number {
  return toDb(powerMw);
}

/**
 * Returns the sum of powers given in dBm, added in milliwatts.
 * Example: -95, -98, -101 and -101 dBm sum to -91.982 dBm.
 */
export function sumDbm(powersDbm: readonly number[]): number {
  let totalMw = 0;
  for (const powerDbm of powersDbm) totalMw += toMilliwatts(powerDbm);
  return toDbm(totalMw);
}

/** Natural logarithm of the power ratio of 1 dB, for kernels: exp is faster than a power of ten. */
export const NEPERS_PER_DB = Math.LN10 / 10;
