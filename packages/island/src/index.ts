export { HORN_SECTOR, islandComparison, PATCH_SECTOR } from "./island-comparison.ts";
export { writeIsland } from "./island-file.ts";
export { islandAddresses, islandRequest } from "./island-request.ts";
