/** An address with its point. */
export interface Premises {
  id: string;
  address: string;
  /** Degrees, WGS84. */
  lon: number;
  lat: number;
  /** Location accuracy of the point, metres; null: not stated by the source. */
  qualityM: number | null;
}

/** Location accuracy, metres, by the method of placing the point. Common practice, no source. */
export const POINT_QUALITY_M: Readonly<Record<string, number>> = {
  rooftop: 10,
  parcel: 50,
  interpolated: 150,
  centroid: 500,
};

/** Returns the radius of the circle that contains the house, m; that of interpolated points if the source states none. */
export function findLocationAccuracyM({ qualityM }: Pick<Premises, "qualityM">): number {
  return qualityM ?? POINT_QUALITY_M.interpolated;
}
