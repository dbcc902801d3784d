export { ISLAND_FILE, writeIsland } from "./island-file.ts";
export { islandAddresses, islandRequest } from "./island-request.ts";
