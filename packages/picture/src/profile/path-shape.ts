import { wavelengthM } from "@fellmark/units";

/**
 * How much the Earth's curve raises ground between two ends that see each other along a straight line, m:
 * d1 d2 / (2 Re), with d1 and d2 the distances from the ends and Re the effective radius.
 * Example: half way of 10 km over 4/3 of 6,371 km, 1.47 m.
 */
export function bulgeM(fromMastM: number, fromKitM: number, effectiveEarthRadiusM: number): number {
  return (fromMastM * fromKitM) / (2 * effectiveEarthRadiusM);
}

/**
 * Radius of the first Fresnel zone, m: sqrt(lambda d1 d2 / (d1 + d2)).
 * Source: ITU-R P.526-15, section 2.1, eq (1) with n = 1. Example: half way of 5 km at 5.8 GHz, 8.04 m.
 */
export function firstZoneRadiusM(fromMastM: number, fromKitM: number, frequencyGhz: number): number {
  return Math.sqrt((wavelengthM(frequencyGhz) * fromMastM * fromKitM) / (fromMastM + fromKitM));
}
