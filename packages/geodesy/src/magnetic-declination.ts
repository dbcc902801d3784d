import geomagnetism, { type GeomagnetismModel } from "geomagnetism";
import type { LonLat } from "./lattice.ts";

/** Angle between true and magnetic north at a place on one day. */
export interface MagneticDeclination {
  /** Positive where magnetic north lies east of true north. */
  declinationDeg: number;
  /** Name of the model, and its last day, YYYY-MM-DD. */
  model: string;
  validTo: string;
}

/**
 * Magnetic declination at sea level by the World Magnetic Model; null where no model holds on that day.
 * @param day YYYY-MM-DD.
 * Source: NOAA and BGS, World Magnetic Model, whose epochs last five years. Accuracy: 0.3 degrees of the model on average,
 * besides what steel and rock nearby do to a compass. Example: 80 N, 0 E on 2025-01-01: 1.28 degrees.
 */
export function findMagneticDeclination({ lon, lat }: LonLat, day: string): MagneticDeclination | null {
  const found = findModel(new Date(`${day}T00:00:00Z`));
  if (found === null) return null;
  const { decl } = found.point([lat, lon]);
  return { declinationDeg: decl, model: found.name, validTo: found.end_date.toISOString().slice(0, 10) };
}

/** The package throws where it has no model for a date. */
function findModel(date: Date): GeomagnetismModel | null {
  try {
    return geomagnetism.model(date);
  } catch {
    return null;
  }
}
