export { drawChange } from "./change/draw-change.ts";
export { traceChange } from "./change/trace-change.ts";
export { drawMap, type MapOptions } from "./map/draw-map.ts";
export type { PageOptions } from "./map/map-page.ts";
export { buildRamp } from "./map/palette.ts";
export { createRasterWriter, type RasterWriter, writeRaster } from "./raster/raster-writer.ts";
export { type AreaShapes, buildAreaMask } from "./shapes/area-mask.ts";
export { isInArea } from "./shapes/search-area.ts";
export { rasteriseTiers } from "./testing/classes-of-tiers.ts";
export { findGeometryFaults } from "./testing/geometry-faults.ts";
export { markSurveyCells, markWaterCells, TIER_CLASS, type TierPlan } from "./tier-class.ts";
export { mergeSpecks } from "./trace/specks.ts";
export { computeTierAreas, type TierArea } from "./trace/tier-areas.ts";
export { type CellRing, traceCellPolygons } from "./trace/trace-polygons.ts";
export {
  type TierCollection,
  type TierKind,
  TRACE_DEFAULTS,
  type TraceSettings,
  traceTiers,
} from "./trace/trace-tiers.ts";
