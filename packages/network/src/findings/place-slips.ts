import type { LonLat } from "@fellmark/geodesy";

export interface PlaceSlip {
  code: string;
  cause: string;
  /** The place that was meant if this slip was made. */
  place: LonLat;
}

/** The usual slips with coordinates, each with the place that was meant. */
export function listPlaceSlips({ lon, lat }: LonLat): PlaceSlip[] {
  const all = [
    { code: "coordinates_swapped", cause: "longitude and latitude are swapped", place: { lon: lat, lat: lon } },
    { code: "longitude_sign", cause: "the sign of the longitude is wrong", place: { lon: -lon, lat } },
    { code: "latitude_sign", cause: "the sign of the latitude is wrong", place: { lon, lat: -lat } },
    {
      code: "coordinates_swapped",
      cause: "longitude and latitude are swapped and a sign is lost",
      place: { lon: -lat, lat: lon },
    },
    {
      code: "coordinates_swapped",
      cause: "longitude and latitude are swapped and a sign is lost",
      place: { lon: lat, lat: -lon },
    },
    { code: "both_signs", cause: "the signs of longitude and latitude are wrong", place: { lon: -lon, lat: -lat } },
  ];
  return all.filter(({ place }) => Math.abs(place.lat) <= 90);
}
