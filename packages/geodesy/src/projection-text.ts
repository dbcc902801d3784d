/** A map projection given by its own parameters, in metres, on an ellipsoid of one of the datums that count as WGS84. */
export interface Projection {
  /** PROJ's names of transverse Mercator, Albers, Lambert conformal conic, Lambert azimuthal, polar stereographic. */
  proj: "tmerc" | "aea" | "lcc" | "laea" | "stere";
  ellps: "GRS80" | "WGS84";
  originLatDeg: number;
  originLonDeg: number;
  /** Standard parallels, none, one or two; for the polar projection the latitude of true scale. */
  parallelsDeg: readonly number[];
  /** Scale at the origin. */
  scale: number;
  falseEastingM: number;
  falseNorthingM: number;
}

/** West, south, east, north in degrees; east may pass 180. */
export type Area = [number, number, number, number];

/** Area of use around the origin, degrees of longitude and latitude; for cones measured from their parallels. */
const REACH_DEG: Record<string, [number, number]> = {
  tmerc: [30, 180],
  aea: [90, 60],
  lcc: [90, 60],
  laea: [60, 50],
  stere: [180, 50],
};

/** Latitude limit of all systems except the polar ones. */
const MAX_LAT_DEG = 85;

/**
 * Returns a projection in the words of PROJ, the same words for equal projections; `findCrs` accepts it like an EPSG code.
 * Example: UTM zone 12 is "+proj=tmerc +lat_0=0 +lon_0=-111 +k_0=0.9996 +x_0=500000 +y_0=0 +ellps=GRS80 +units=m".
 */
export function formatProjection(projection: Projection): string {
  const { proj, ellps, originLatDeg, originLonDeg, parallelsDeg, scale, falseEastingM, falseNorthingM } = projection;
  const names = proj === "stere" ? ["lat_ts"] : ["lat_1", "lat_2"];
  const parallels = parallelsDeg.map((parallel, index) => ` +${names[index]}=${parallel}`).join("");
  const origin = `+proj=${proj} +lat_0=${originLatDeg} +lon_0=${originLonDeg}${parallels} +k_0=${scale}`;
  return `${origin} +x_0=${falseEastingM} +y_0=${falseNorthingM} +ellps=${ellps} +units=m`;
}

/** Returns the area of use of a projection written by `formatProjection`. */
export function findAreaOfUse(text: string): Area {
  const terms = new Map([...text.matchAll(/\+(\w+)=(\S+)/g)].map(([, key, value]) => [key, value]));
  const number = (key: string) => Number(terms.get(key));
  const proj = terms.get("proj") as string;
  const [lonReach, latReach] = REACH_DEG[proj] as [number, number];
  const lats = ["lat_0", "lat_1", "lat_2"].filter((key) => terms.has(key)).map(number);
  const most = proj === "stere" ? 90 : MAX_LAT_DEG;
  return [
    number("lon_0") - lonReach,
    Math.max(-most, Math.min(...lats) - latReach),
    number("lon_0") + lonReach,
    Math.min(most, Math.max(...lats) + latReach),
  ];
}
