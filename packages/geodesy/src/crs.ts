import { FellmarkError } from "@fellmark/units";
import proj4 from "proj4";
import { type CrsDefinition, type CrsId, findDefinition } from "./crs-list.ts";
import { WGS84_A_M } from "./ellipsoid.ts";

/** A coordinate reference system. Longitudes and latitudes are WGS84 degrees. */
export interface Crs {
  /** True: x and y are longitude and latitude in degrees. */
  geographic: boolean;
  /** Width of the whole world along x in units of the system; null where x does not run around the world. */
  periodX: number | null;
  /**
   * Converts longitude and latitude to x and y in the system's own units; [NaN, NaN] outside its area.
   * If x runs around the world, a longitude beyond +-180 gives an x beyond the map's edge.
   */
  project(lon: number, lat: number): [number, number];
  /** Converts x and y to longitude and latitude; [NaN, NaN] outside the area. */
  unproject(x: number, y: number): [number, number];
}

const known = new Map<CrsId, Crs>();

/** Returns a system by its name. Throws FellmarkError `crs_not_supported` for a code that is not in the allow-list. */
export function findCrs(id: CrsId): Crs {
  const cached = known.get(id);
  if (cached) return cached;
  const definition = findDefinition(id);
  if (!definition) {
    throw new FellmarkError("crs_not_supported", `${formatCrsName(id)} is not a supported coordinate reference system`);
  }
  const crs = createCrs(definition);
  known.set(id, crs);
  return crs;
}

/** Returns a reference system's name for people: "EPSG:4326", or a projection in words. */
export function formatCrsName(id: CrsId): string {
  return typeof id === "string" ? id : `EPSG:${id}`;
}

function createCrs(definition: CrsDefinition): Crs {
  if (definition.kind === "geographic") return GEOGRAPHIC;
  return definition.kind === "web-mercator" ? createWebMercator() : createProjected(definition);
}

/**
 * Treats the datums of the list (WGS84, ETRS89, NAD83) as one: they differ by less than 2 m.
 * Accepts the half cell by which a raster centred on a pole extends beyond it.
 */
const GEOGRAPHIC: Crs = { geographic: true, periodX: 360, project: checkGeographic, unproject: checkGeographic };

function checkGeographic(lon: number, lat: number): [number, number] {
  return Math.abs(lat) <= 90.01 ? [lon, lat] : [NaN, NaN];
}

/** Source: EPSG Guidance Note 7-2 (IOGP 373-7-2), section 3.5.1, Popular Visualisation Pseudo-Mercator. */
function createWebMercator(): Crs {
  const unitPerDeg = (WGS84_A_M * Math.PI) / 180;
  const edge = 180 * unitPerDeg;
  return {
    geographic: false,
    periodX: 2 * edge,
    project(lon, lat) {
      const y = WGS84_A_M * Math.atanh(Math.sin((lat * Math.PI) / 180));
      return Math.abs(y) <= edge * 1.001 ? [lon * unitPerDeg, y] : [NaN, NaN];
    },
    unproject(x, y) {
      if (!(Math.abs(y) <= edge * 1.001)) return [NaN, NaN];
      return [x / unitPerDeg, (Math.atan(Math.sinh(y / WGS84_A_M)) * 180) / Math.PI];
    },
  };
}

function createProjected({ proj, area }: Extract<CrsDefinition, { kind: "projected" }>): Crs {
  const converter = proj4(proj);
  const [west, south, east, north] = area;
  const middle = (west + east) / 2;
  const unturned = (lon: number) => lon - 360 * Math.round((lon - middle) / 360);
  const inside = (lon: number, lat: number) => lon >= west && lon <= east && lat >= south && lat <= north;
  return {
    geographic: false,
    periodX: null,
    project(lon, lat) {
      const near = unturned(lon);
      return inside(near, lat) ? (converter.forward([near, lat]) as [number, number]) : [NaN, NaN];
    },
    unproject(x, y) {
      if (!Number.isFinite(x) || !Number.isFinite(y)) return [NaN, NaN];
      const [lon, lat] = converter.inverse([x, y]) as [number, number];
      return inside(unturned(lon), lat) ? [lon, lat] : [NaN, NaN];
    },
  };
}
