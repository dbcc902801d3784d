/** West, south, east, north in degrees; east may pass 180. */
export type Area = readonly [west: number, south: number, east: number, north: number];

export function isWithin([west, south, east, north]: Area, lon: number, lat: number): boolean {
  const eastOfWest = (((lon - west) % 360) + 360) % 360;
  return lat >= south && lat <= north && eastOfWest <= east - west;
}
