import { computeWavelengthM } from "@fellmark/units";

/**
 * Radius of the first Fresnel zone, m, at distances d1 and d2 from the ends: sqrt(lambda d1 d2 / (d1 + d2)).
 * Source: ITU-R P.526-15, section 2, eq (2), not its rounded form 17.3 sqrt(d1 d2 / (f d)).
 * Example: 5 km from both ends at 5.8 GHz gives 11.3675 m.
 */
export function computeFresnelRadiusM(d1M: number, d2M: number, frequencyGhz: number): number {
  return Math.sqrt((computeWavelengthM(frequencyGhz) * d1M * d2M) / (d1M + d2M));
}

/**
 * Diffraction parameter nu of an edge that stands `heightM` above the sight line (below it: negative).
 * Source: ITU-R P.526-15, section 4.1, eq (26). nu = sqrt(2) heightM / (first Fresnel radius).
 * Example: 20 m, 4 km and 6 km from the ends at 5.8 GHz gives 2.53947.
 */
export function computeDiffractionParameter(heightM: number, d1M: number, d2M: number, wavelengthInM: number): number {
  return heightM * Math.sqrt((2 * (d1M + d2M)) / (wavelengthInM * d1M * d2M));
}

/**
 * Diffraction loss over average terrain, dB, from the clearance of the sight line over the worst obstacle: the rule of
 * thumb that plans clearances, between knife edge and smooth Earth. Negative where the path is clear.
 * Source: ITU-R P.530-18, section 2.2.1, eqs (2), (3), with their rounded radius 17.3 sqrt(d1 d2 / (f d)).
 * Valid for: losses above about 15 dB. Example: 5 m too low midway over 10 km at 5.8 GHz gives 18.80 dB.
 */
export function computeAverageTerrainLossDb(
  clearanceM: number,
  d1M: number,
  d2M: number,
  frequencyGhz: number,
): number {
  const radiusM = 17.3 * Math.sqrt((d1M * d2M) / (frequencyGhz * 1000 * (d1M + d2M)));
  return 10 - (20 * clearanceM) / radiusM;
}
