export { buildAntennaComparison, buildChannelComparison, HORN_SECTOR, PATCH_SECTOR } from "./island-comparison.ts";
export { writeIsland } from "./island-file.ts";
export { buildIslandRequest, findIslandAddresses } from "./island-request.ts";
