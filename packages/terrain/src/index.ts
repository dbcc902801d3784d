export { filesOf, openCatalogue, type RefusedFile, type TerrainCatalogue } from "./catalogue/open-catalogue.ts";
export type { LonLatBox, TerrainFile } from "./catalogue/terrain-file.ts";
export type { TerrainKind, TerrainSet } from "./catalogue/terrain-sets.ts";
export { type MosaicData, mosaicOf, openMosaic, type TerrainMosaic } from "./elevation/mosaic.ts";
export type { PlausibilityFlag } from "./elevation/plausibility.ts";
export { readProfile, type TerrainProfile } from "./elevation/profile.ts";
export { type ReadWindowOptions, readWindow, type TerrainWindow } from "./elevation/read-window.ts";
export { type FileReport, type TerrainReport, terrainReport } from "./elevation/terrain-report.ts";
