import { type CrsId, findCrs, findGeodesic, formatCrsName } from "@fellmark/geodesy";
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

/** Sides of a cell on the ground, m: finer and coarser rasters are of no use for links, and have taken minutes to read. */
const CELL_SIDE_M = [0.1, 20_000] as const;

/**
 * Returns the ground length of the longer side of a cell in the middle of a grid, metres.
 * Throws TerrainError `raster_refused` where a side is not of a length that is of use.
 */
export function computeGroundStepM({ crs, x0, y0, stepX, stepY, widthPx, heightPx }: RasterGrid): number {
  const { unproject } = findCrs(crs);
  const x = x0 + (stepX * (widthPx - 1)) / 2;
  const y = y0 - (stepY * (heightPx - 1)) / 2;
  const point = (toX: number, toY: number) => {
    const [lon, lat] = unproject(toX, toY);
    return { lon, lat };
  };
  const middle = point(x, y);
  const across = findGeodesic(middle, point(x + stepX, y)).distanceM;
  const along = findGeodesic(middle, point(x, y - stepY)).distanceM;
  if (!(Math.min(across, along) >= CELL_SIDE_M[0] && Math.max(across, along) <= CELL_SIDE_M[1])) {
    const sides = `${Number(across.toPrecision(3))} x ${Number(along.toPrecision(3))} m`;
    throw refuseRaster(`a cell of ${sides}; a side has ${CELL_SIDE_M[0]} m to ${CELL_SIDE_M[1] / 1000} km`);
  }
  return Math.max(across, along);
}

/** Returns the area that the cells of a grid cover. Throws TerrainError `raster_refused` where it does not lie on Earth. */
export function computeLonLatBox(grid: RasterGrid): LonLatBox {
  const { unproject, periodX } = findCrs(grid.crs);
  const rim = listRimPoints(grid);
  const points = rim.map(([x, y]) => unproject(x, y));
  if (!points.every((point, index) => isInArea(grid, rim[index] as [number, number], point))) {
    throw refuseRaster(`it lies outside the area of ${formatCrsName(grid.crs)}`);
  }
  const first = (points[0] as [number, number])[0];
  const lons = points.map(([lon]) => (periodX !== null ? lon : lon - 360 * Math.round((lon - first) / 360)));
  const lats = points.map(([, lat]) => lat);
  const pole = periodX === null ? findCoveredPole(grid) : undefined;
  if (pole !== undefined) return [first - 180, Math.min(pole, ...lats), first + 180, Math.max(pole, ...lats)];
  return requireOneTurn(
    [Math.min(...lons), Math.min(...lats), Math.max(...lons), Math.max(...lats)],
    (360 * grid.stepX) / (periodX ?? Number.POSITIVE_INFINITY),
  );
}

/** True where a place has longitude and latitude that lead back to it: far outside its area a projection is not unique. */
function isInArea({ crs, stepX, stepY }: RasterGrid, [x, y]: [number, number], [lon, lat]: [number, number]): boolean {
  const [backX, backY] = findCrs(crs).project(lon, lat);
  return Math.abs(backX - x) <= stepX / 10 && Math.abs(backY - y) <= stepY / 10;
}

/** Refuses a box wider than the Earth and a cell, or more than a turn away from the meridian of Greenwich. */
function requireOneTurn([west, south, east, north]: LonLatBox, cellDeg: number): LonLatBox {
  if (east - west > 360 + 1.5 * cellDeg) {
    throw refuseRaster(`it is ${Number((east - west).toPrecision(4))} degrees wide; at most 360`);
  }
  if (!(west >= -360 - cellDeg && west <= 360)) {
    throw refuseRaster(`its west edge lies at longitude ${west}; -360 to 360`);
  }
  return [west, south, east, north];
}

/** Returns the latitude of the pole that the cells of a polar projection cover; undefined where they cover none. */
function findCoveredPole({ crs, x0, y0, stepX, stepY, widthPx, heightPx }: RasterGrid): number | undefined {
  const isInside = ([x, y]: [number, number]) =>
    Math.abs((x - x0) / stepX - (widthPx - 1) / 2) <= widthPx / 2 &&
    Math.abs((y0 - y) / stepY - (heightPx - 1) / 2) <= heightPx / 2;
  return [90, -90].find((lat) => isInside(findCrs(crs).project(0, lat)));
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
