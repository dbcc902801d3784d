export { type KnownHash, learnHashes, takeNewHashes } from "./catalogue/known-hashes.ts";
export {
  openCatalogue,
  type RefusedFile,
  selectElevationFiles,
  type TerrainCatalogue,
} from "./catalogue/open-catalogue.ts";
export type { LonLatBox, TerrainFile } from "./catalogue/terrain-file.ts";
export { reportTerrain, type TerrainReport } from "./catalogue/terrain-report.ts";
export type { TerrainKind } from "./catalogue/terrain-sets.ts";
export { type ClutterData, type ClutterMosaic, createClutterMosaic, openClutter } from "./clutter/clutter-mosaic.ts";
export { type ClutterSources, checkClutterSources } from "./clutter/clutter-sources.ts";
export { CLUTTER_KINDS } from "./clutter/clutter-table.ts";
export { type LandCoverClass, LEGENDS, type Legend } from "./clutter/legends.ts";
export { type ClutterWindow, readClutterWindow } from "./clutter/read-clutter-window.ts";
export { createMosaic, type MosaicData, openMosaic, type TerrainMosaic } from "./elevation/mosaic.ts";
export type { PlausibilityFlag } from "./elevation/plausibility.ts";
export { readProfile } from "./elevation/profile.ts";
export { readWindow, type TerrainWindow } from "./elevation/read-window.ts";
