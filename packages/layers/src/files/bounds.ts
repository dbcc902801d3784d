import { countWorldCells, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import type { LayerRaster } from "../layer-raster.ts";

/**
 * West, south, east and north of a layer, degrees. A layer over the antimeridian reaches from -180 to 180.
 * Source: TileJSON 3.0, section 3.4: bounds do not wrap.
 */
export function findBounds({ levels: [{ window }] }: LayerRaster): [number, number, number, number] {
  const { zoom, col0, row0, width, height } = window;
  const wraps = col0 < 0 || col0 + width > countWorldCells(zoom);
  return [
    wraps ? -180 : toLongitudeDeg(col0, zoom),
    toLatitudeDeg(row0 + height, zoom),
    wraps ? 180 : toLongitudeDeg(col0 + width, zoom),
    toLatitudeDeg(row0, zoom),
  ];
}
