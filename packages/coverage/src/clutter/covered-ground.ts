import type { LatticeWindow } from "@fellmark/geodesy";
import type { CpeSpec, ModelSpec } from "@fellmark/network";
import type { GroundGrids } from "@fellmark/sweep";
import { CLUTTER_KINDS, type ClutterSources, readClutterWindow, type TerrainCatalogue } from "@fellmark/terrain";
import { findClutterSources } from "./clutter-raster.ts";

/** The part of a model that says how clutter counts. */
export type ClutterModel = Pick<ModelSpec, "clutter" | "method" | "foliage" | "vegetationLaw">;

/** The part of a CPE that says where it stands. */
export type CpeMount = Pick<CpeSpec, "mount" | "heightAglM" | "heightAboveRoofM">;

const TREES = CLUTTER_KINDS.indexOf("trees");

/** Rasters of measured heights that count on the way of a path; null where none do. */
export function findMeasuredSources(model: Pick<ModelSpec, "clutter" | "method">): ClutterSources | null {
  const sources = findClutterSources(model);
  if (sources === null || model.method !== "path-clutter") return null;
  return sources.canopy !== undefined || sources.buildings !== undefined ? sources : null;
}

/** Everything of clutter and mount that the loss of a path depends on; null where it is the ground alone. */
export function describePathClutter(model: ClutterModel, { mount, heightAboveRoofM }: CpeMount): object | null {
  const sources = findMeasuredSources(model);
  if (sources) {
    const { foliage, vegetationLaw } = model;
    return { sources, foliage, vegetationLaw, mount: mount ?? null, heightAboveRoofM };
  }
  const canopy = findClutterSources(model)?.canopy;
  // Canopy is taken off a surface, so that the ground depends on it.
  return canopy === undefined ? null : { canopy };
}

/** True where a CPE stands on the roof of the building that is known at its place. */
export function standsOnRoof({ mount }: Pick<CpeMount, "mount">): boolean {
  return mount === undefined || mount === "roof";
}

/** Height of the CPE's antenna above the ground, m: as asked for, but never below its height over the roof that it stands on. */
export function findMountedHeightM(cpe: CpeMount, heightAglM: number, roofM: number): number {
  return roofM > 0 && standsOnRoof(cpe) ? Math.max(heightAglM, roofM + cpe.heightAboveRoofM) : heightAglM;
}

/** Tops of what measured rasters say stands on a window of bare heights; one array for two where nothing stands between. */
export async function coverGround(
  bareAmslM: Float32Array,
  catalogue: TerrainCatalogue,
  model: ClutterModel,
  window: LatticeWindow,
): Promise<Pick<GroundGrids, "surfaceAmslM" | "solidAmslM">> {
  const sources = findMeasuredSources(model);
  if (sources === null) return { surfaceAmslM: bareAmslM, solidAmslM: bareAmslM };
  const { heightM, kind, isMeasured } = await readClutterWindow(catalogue, sources, window);
  const surfaceAmslM = new Float32Array(new SharedArrayBuffer(bareAmslM.byteLength));
  const solidAmslM = new Float32Array(new SharedArrayBuffer(bareAmslM.byteLength));
  for (let cell = 0; cell < surfaceAmslM.length; cell++) {
    const standsM = isMeasured[cell] === 1 ? heightM[cell] : 0;
    surfaceAmslM[cell] = bareAmslM[cell] + standsM;
    solidAmslM[cell] = kind[cell] === TREES ? bareAmslM[cell] : surfaceAmslM[cell];
  }
  return { surfaceAmslM, solidAmslM };
}

/** Height of the CPE's antenna above sea level at every cell of a window; null where it stands over the ground everywhere. */
export async function mountOnRoofs(
  cellAmslM: Float32Array,
  catalogue: TerrainCatalogue,
  { model, cpe }: { model: ClutterModel; cpe: CpeMount },
  window: LatticeWindow,
): Promise<Float32Array | null> {
  const buildings = findMeasuredSources(model)?.buildings;
  if (buildings === undefined || !standsOnRoof(cpe)) return null;
  const { heightM } = await readClutterWindow(catalogue, { buildings }, window);
  const cpeAmslM = new Float32Array(new SharedArrayBuffer(cellAmslM.byteLength));
  for (let cell = 0; cell < cpeAmslM.length; cell++) {
    cpeAmslM[cell] = cellAmslM[cell] + findMountedHeightM(cpe, cpe.heightAglM, heightM[cell]);
  }
  return cpeAmslM;
}
