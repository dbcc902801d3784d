import { type CrsId, crsName, crsOf, geodesicBetween } from "@fellmark/geodesy";
import type { RasterGrid, RasterHeader } from "../raster/raster-header.ts";
import type { Raster } from "../raster/read-cells.ts";
import { refuseRaster } from "../raster/refuse-raster.ts";
import type { TerrainKind } from "./terrain-sets.ts";

/** West, south, east, north, degrees. East is never less than west: it is over 180 where the area crosses that meridian. */
export type LonLatBox = [number, number, number, number];

/** One raster of a catalogue. */
export interface TerrainFile extends Raster {
  /** Path inside the terrain folder, `/` between names. */
  name: string;
  set: string;
  kind: TerrainKind;
  /** Absolute path. */
  path: string;
  sha256: string;
  /** The longer side of a cell on the ground, in the middle of the raster. */
  resolutionM: number;
  widthPx: number;
  heightPx: number;
  bbox: LonLatBox;
  format: RasterHeader["format"];
  crs: CrsId;
  pixelIs: RasterHeader["pixelIs"];
}

/**
 * Values that are never a height: tools write them for no data, also without a no-data tag.
 * Zero and small negative values are heights.
 */
const CLASSIC_VOIDS = [-32768, 32767, 65535, -9999];

/** Returns the stored values of a raster of heights that mean "not known". */
export function listVoids({ noData }: RasterHeader): number[] {
  return noData === null || Number.isNaN(noData) ? CLASSIC_VOIDS : [...new Set([noData, ...CLASSIC_VOIDS])];
}

/** Returns the ground length of the longer side of a cell in the middle of a grid, metres. */
export function computeGroundStepM({ crs, x0, y0, stepX, stepY, widthPx, heightPx }: RasterGrid): number {
  const { unproject } = crsOf(crs);
  const x = x0 + (stepX * (widthPx - 1)) / 2;
  const y = y0 - (stepY * (heightPx - 1)) / 2;
  const point = (toX: number, toY: number) => {
    const [lon, lat] = unproject(toX, toY);
    return { lon, lat };
  };
  const middle = point(x, y);
  const across = geodesicBetween(middle, point(x + stepX, y)).distanceM;
  const along = geodesicBetween(middle, point(x, y - stepY)).distanceM;
  return Math.max(across, along);
}

/** Returns the area that the cells of a grid cover. Throws TerrainError `raster_refused` where it does not lie on Earth. */
export function computeLonLatBox(grid: RasterGrid): LonLatBox {
  const { unproject, periodX } = crsOf(grid.crs);
  const points = listRimPoints(grid).map(([x, y]) => unproject(x, y));
  if (!points.flat().every(Number.isFinite)) {
    throw refuseRaster(`it lies outside the area of ${crsName(grid.crs)}`);
  }
  const first = (points[0] as [number, number])[0];
  const lons = points.map(([lon]) => (periodX !== null ? lon : lon - 360 * Math.round((lon - first) / 360)));
  const lats = points.map(([, lat]) => lat);
  const pole = periodX === null ? findCoveredPole(grid) : undefined;
  if (pole !== undefined) return [first - 180, Math.min(pole, ...lats), first + 180, Math.max(pole, ...lats)];
  return [Math.min(...lons), Math.min(...lats), Math.max(...lons), Math.max(...lats)];
}

/** Returns the latitude of the pole that the cells of a polar projection cover; undefined where they cover none. */
function findCoveredPole({ crs, x0, y0, stepX, stepY, widthPx, heightPx }: RasterGrid): number | undefined {
  const isInside = ([x, y]: [number, number]) =>
    Math.abs((x - x0) / stepX - (widthPx - 1) / 2) <= widthPx / 2 &&
    Math.abs((y0 - y) / stepY - (heightPx - 1) / 2) <= heightPx / 2;
  return [90, -90].find((lat) => isInside(crsOf(crs).project(0, lat)));
}

/** Returns points around the outer edge of the cells, close enough to follow curved sides. */
function listRimPoints({ x0, y0, stepX, stepY, widthPx, heightPx }: RasterGrid): [number, number][] {
  const west = x0 - stepX / 2;
  const north = y0 + stepY / 2;
  const POINTS = 16;
  return Array.from({ length: POINTS + 1 }, (_, index) => index / POINTS).flatMap((share): [number, number][] => {
    const x = west + share * widthPx * stepX;
    const y = north - share * heightPx * stepY;
    return [
      [x, north],
      [x, north - heightPx * stepY],
      [west, y],
      [west + widthPx * stepX, y],
    ];
  });
}
