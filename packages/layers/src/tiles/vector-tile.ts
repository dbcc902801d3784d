import { type CellRing, TIER_CLASS, traceCellPolygons } from "@fellmark/tiers";
import { fromGeojsonVt } from "@maplibre/vt-pbf";
import type { LayerRaster } from "../layer-raster.ts";
import { listLayerClasses } from "../look/layer-classes.ts";
import { cutCells, findLevel, TILE_CELLS, type TilePlace } from "./cut-cells.ts";

/** Name of the one layer in a tile. */
export const TILE_LAYER = "tiers";

/** Steps along one side of a tile: 16 a cell. Source: Vector Tile Specification 2.1, section 4.1, the usual extent. */
export const TILE_EXTENT = 4096;

const STEPS_PER_CELL = TILE_EXTENT / TILE_CELLS;

/** Cells beyond each edge that a tile also holds, so that outlines do not end at it and no gap can show there. */
const MARGIN_CELLS = 4;

/** Label of cells with no service: tracing takes 1 to 254. */
const NO_SERVICE_LABEL = 253;

/**
 * Returns a vector tile of the level of its zoom, or null where it would be empty. One feature a class with the properties
 * class, plan, downMbps and upMbps. Polygons follow the edges of the cells, so those of neighbouring tiles meet exactly.
 * Source: Vector Tile Specification 2.1.
 */
export function buildVectorTile(raster: LayerRaster, place: TilePlace): Uint8Array | null {
  const level = findLevel(raster, place.z);
  const cells = level && cutCells(level, place, MARGIN_CELLS);
  if (!cells) return null;
  const side = TILE_CELLS + 2 * MARGIN_CELLS;
  const labels = cells.map((tier) => (tier === TIER_CLASS.noService ? NO_SERVICE_LABEL : tier));
  const polygons = traceCellPolygons(
    { width: side, height: side, classes: labels },
    (label) => label !== TIER_CLASS.outside,
  );
  const features = listLayerClasses(raster.plans).flatMap(({ value, kind, plan }) => {
    const traced = polygons[value === TIER_CLASS.noService ? NO_SERVICE_LABEL : value];
    if (traced.length === 0) return [];
    const tags = { class: kind, ...(plan && { plan: plan.id, downMbps: plan.downMbps, upMbps: plan.upMbps }) };
    return [{ type: 3 as const, geometry: traced.flat().map(toTileRing), tags, id: value }];
  });
  return fromGeojsonVt({ [TILE_LAYER]: { features } as never }, { version: 2, extent: TILE_EXTENT });
}

/** Turns the ring round: shells run clockwise as seen. Source: Vector Tile Specification 2.1, section 4.3.4.4. */
function toTileRing(ring: CellRing): [number, number][] {
  const points: [number, number][] = [];
  for (let at = ring.length - 2; at >= 0; at -= 2) {
    points.push([(ring[at] - MARGIN_CELLS) * STEPS_PER_CELL, (ring[at + 1] - MARGIN_CELLS) * STEPS_PER_CELL]);
  }
  return points;
}
