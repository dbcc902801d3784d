export type { Scan, ScanBeam, ScanDirections, ScanFinding, ScanReading } from "./scan.ts";
export { type ScanContext, scanDirections } from "./scan-directions.ts";
export { scanNoiseMw } from "./scan-noise.ts";
