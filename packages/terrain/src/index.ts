export { filesOf, openCatalogue, type RefusedFile, type TerrainCatalogue } from "./catalogue/open-catalogue.ts";
export type { LonLatBox, TerrainFile } from "./catalogue/terrain-file.ts";
export { type CodeShare, type FileReport, type TerrainReport, terrainReport } from "./catalogue/terrain-report.ts";
export type { ClutterKind, ElevationKind, TerrainKind, TerrainSet } from "./catalogue/terrain-sets.ts";
export {
  type ClutterAt,
  type ClutterData,
  type ClutterMosaic,
  clutterOf,
  openClutter,
} from "./clutter/clutter-mosaic.ts";
export { type ClutterSources, checkClutterSources } from "./clutter/clutter-sources.ts";
export { CLUTTER_KINDS } from "./clutter/clutter-table.ts";
export { type LandCoverClass, LEGENDS, type Legend } from "./clutter/legends.ts";
export { type ClutterWindow, readClutterWindow, type UnknownCode } from "./clutter/read-clutter-window.ts";
export { type MosaicData, mosaicOf, openMosaic, type TerrainMosaic } from "./elevation/mosaic.ts";
export type { PlausibilityFlag } from "./elevation/plausibility.ts";
export { readProfile, type TerrainProfile } from "./elevation/profile.ts";
export { type ReadWindowOptions, readWindow, type TerrainWindow } from "./elevation/read-window.ts";
