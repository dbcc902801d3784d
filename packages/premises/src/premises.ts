/** An address with its point. */
export interface Premises {
  id: string;
  address: string;
  /** Degrees, WGS84. */
  lon: number;
  lat: number;
  /** How far off the point may be, metres; null where the source does not say. */
  qualityM: number | null;
}

/** How far off a point may be, metres, by where it was put. Common practice, no source. */
export const POINT_QUALITY_M: Readonly<Record<string, number>> = {
  rooftop: 10,
  parcel: 50,
  interpolated: 150,
  centroid: 500,
};

/** Radius of the circle within which the house of premises lies, m; interpolated points where the source does not say. */
export function locationAccuracyOf({ qualityM }: Pick<Premises, "qualityM">): number {
  return qualityM ?? POINT_QUALITY_M.interpolated;
}
