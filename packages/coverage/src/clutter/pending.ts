import type { LatticeWindow } from "@fellmark/geodesy";
import type { EndClutterClass } from "@fellmark/propagation";
import type { TerrainCatalogue } from "@fellmark/terrain";

export interface ClutterSources {
  landCover?: string | undefined;
  heights?: Record<string, number> | undefined;
  canopy?: string | undefined;
  buildings?: string | undefined;
}
export const CLUTTER_KINDS: readonly EndClutterClass[] = [
  "unknown",
  "open",
  "water",
  "suburban",
  "urban",
  "dense-urban",
  "trees",
];
export async function readClutterWindow(
  _c: TerrainCatalogue,
  _s: ClutterSources,
  _w: LatticeWindow,
): Promise<{
  heightM: Float32Array;
  kind: Uint8Array;
  notKnownCells: number;
  unknownCodes: { code: number; cells: number }[];
}> {
  throw new Error("pending");
}
export async function openClutter(
  _c: TerrainCatalogue,
  _s: ClutterSources,
  _b: [number, number, number, number],
): Promise<{ at(lon: number, lat: number): { kind: EndClutterClass; heightM: number } }> {
  throw new Error("pending");
}
