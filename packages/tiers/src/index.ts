export { classesOfTiers } from "./classes-of-tiers.ts";
export { drawMap, type MapOptions } from "./draw-map.ts";
export { geometryFaults, type PolygonLayer } from "./geometry-faults.ts";
export { tierPalette } from "./palette.ts";
export type { RasterKind, RasterValues } from "./raster-tile.ts";
export * from "./raster-writer.ts";
export * from "./tier-areas.ts";
export * from "./tier-class.ts";
export * from "./trace-tiers.ts";
