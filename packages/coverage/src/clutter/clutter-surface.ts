import type { LatticeWindow } from "@fellmark/geodesy";
import type { ModelSpec } from "@fellmark/network";
import { readClutterWindow, type TerrainCatalogue } from "@fellmark/terrain";
import { statedPathClutterM } from "../link/end-clutter.ts";
import { clutterSources } from "./clutter-raster.ts";

/** The part of a model that says how clutter counts. */
export type ClutterModel = Pick<ModelSpec, "clutter" | "method">;

/** What of the clutter the loss of a path depends on; null where it depends on the ground alone. */
export function clutterOnPath(model: ClutterModel): object | null {
  if (model.method === "path-clutter") return { pathClutter: model.clutter };
  const canopy = clutterSources(model)?.canopy;
  // Canopy is taken off a surface, so that the ground depends on it.
  return canopy === undefined ? null : { canopy };
}

/**
 * What rays must pass on a window of bare heights: by method p1812 the representative clutter stands on the ground, else
 * the ground alone, which is then the same array. Where clutter is not known nothing is put on it.
 * Source: ITU-R P.1812-6, section 3.2.1, eqs (1c), (1d).
 */
export async function surfaceOver(
  bareAmslM: Float32Array,
  catalogue: TerrainCatalogue,
  model: ClutterModel,
  window: LatticeWindow,
): Promise<Float32Array> {
  if (model.method !== "path-clutter") return bareAmslM;
  const sources = clutterSources(model);
  const surface = new Float32Array(new SharedArrayBuffer(bareAmslM.byteLength));
  if (sources === null) {
    const heightM = statedPathClutterM(model);
    for (let cell = 0; cell < surface.length; cell++) surface[cell] = bareAmslM[cell] + heightM;
    return surface;
  }
  const { heightM } = await readClutterWindow(catalogue, sources, window);
  for (let cell = 0; cell < surface.length; cell++) {
    surface[cell] = bareAmslM[cell] + (Number.isNaN(heightM[cell]) ? 0 : heightM[cell]);
  }
  return surface;
}
