import { DEG_PER_RAD, RAD_PER_DEG } from "@fellmark/units";
import { computeMeridianRadiusM, computeNormalRadiusM } from "./ellipsoid.ts";
import { type LatticeWindow, type LonLat, toLatticeColumn, toLatticeRow } from "./lattice.ts";

/** Margin around every disc in cells, so that a sample at its rim can be interpolated. */
const MARGIN_CELLS = 3;

/**
 * Returns the smallest lattice window that contains a disc of `radiusM` around every centre, with a margin of 3 cells.
 * Longitudes are on the turn nearest to the first centre, so a window may cross the antimeridian.
 */
export function fitWindow(centres: readonly LonLat[], radiusM: number, zoom: number): LatticeWindow {
  const first = centres[0] as LonLat;
  const discs = centres.map((centre) => {
    const lon = centre.lon + 360 * Math.round((first.lon - centre.lon) / 360);
    const latSpan = (radiusM / computeMeridianRadiusM(0)) * DEG_PER_RAD * 1.001;
    const widestLat = Math.min(89, Math.abs(centre.lat) + latSpan);
    const lonSpan =
      (radiusM / (computeNormalRadiusM(widestLat) * Math.cos(widestLat * RAD_PER_DEG))) * DEG_PER_RAD * 1.001;
    return {
      west: toLatticeColumn(lon - lonSpan, zoom),
      east: toLatticeColumn(lon + lonSpan, zoom),
      north: toLatticeRow(Math.min(89, centre.lat + latSpan), zoom),
      south: toLatticeRow(Math.max(-89, centre.lat - latSpan), zoom),
    };
  });
  const col0 = Math.floor(Math.min(...discs.map((disc) => disc.west))) - MARGIN_CELLS;
  const row0 = Math.floor(Math.min(...discs.map((disc) => disc.north))) - MARGIN_CELLS;
  const col1 = Math.ceil(Math.max(...discs.map((disc) => disc.east))) + MARGIN_CELLS;
  const row1 = Math.ceil(Math.max(...discs.map((disc) => disc.south))) + MARGIN_CELLS;
  return { zoom, col0, row0, width: col1 - col0, height: row1 - row0 };
}
