import type { LatticeWindow } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { readClutterWindow, readWindow, type TerrainCatalogue } from "@fellmark/terrain";

/** Surface of a picture's hillshade: the ground with what rasters say stands on it; m above sea level, NaN not known. */
export async function readRelief(
  catalogue: TerrainCatalogue,
  { terrain: { sets, fillVoids }, model: { clutter } }: CoverageRequest,
  window: LatticeWindow,
): Promise<Float32Array> {
  const sources = "class" in clutter ? null : clutter;
  const canopy = sources?.canopy;
  const ground = await readWindow(catalogue, sets, window, { fillVoids, ...(canopy !== undefined && { canopy }) });
  if (sources === null) return ground.heightsAmslM;
  const { heightM } = await readClutterWindow(catalogue, sources, window);
  return ground.heightsAmslM.map((groundM, cell) => groundM + (Number.isNaN(heightM[cell]) ? 0 : heightM[cell]));
}
