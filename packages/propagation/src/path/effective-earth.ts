import { MEAN_EARTH_RADIUS_KM } from "@fellmark/units";

/**
 * Median effective Earth radius, km: 6371 * 157 / (157 - deltaN).
 * @param deltaN average lapse rate of radio refractivity in the lowest kilometre, N-units per km, below 157.
 * Source: ITU-R P.1812-6, section 3.5, eqs (6) and (7a). Example: 39 gives 8476.67 km; 39.25 is the 4/3 Earth.
 */
export function computeEffectiveEarthRadiusKm(deltaN: number): number {
  return (MEAN_EARTH_RADIUS_KM * 157) / (157 - deltaN);
}

/**
 * Height by which the Earth rises into a path at distances d1 and d2 from its ends, m: d1 d2 / (2 a).
 * Source: ITU-R P.526-15, section 4.5 (the term 500 Ce d1 d2 of its eqs (46) and (48), in metres).
 * Example: 5 km from both ends on the 4/3 Earth (8494.667 km) gives 1.4715 m.
 */
export function computeEarthBulgeM(d1M: number, d2M: number, effectiveEarthRadiusM: number): number {
  return (d1M * d2M) / (2 * effectiveEarthRadiusM);
}
