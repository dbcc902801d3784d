import { computeCellSizeM, type LatticeWindow, toLatitudeDeg } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import type { GroundGrids } from "@fellmark/sweep";
import { readWindow, selectElevationFiles, type TerrainCatalogue, type TerrainWindow } from "@fellmark/terrain";
import { findClutterSources } from "../clutter/clutter-raster.ts";
import { type ClutterModel, type CpeMount, coverGround, mountOnRoofs } from "../clutter/covered-ground.ts";

/** A cell larger than this share of the terrain's own step smooths ridges off, so the ground is read twice as fine. */
const COARSE_CELL_SHARE = 0.7;

export interface GroundRequest {
  terrain: CoverageRequest["terrain"];
  model: ClutterModel;
  cpe: CpeMount;
  /** Previews read the ground at the cells alone. */
  refine: boolean;
}

/** The heights that a sweep over a window needs, and the terrain they come from. */
export async function readGround(
  catalogue: TerrainCatalogue,
  window: LatticeWindow,
  { terrain: { sets, fillVoids }, model, cpe, refine }: GroundRequest,
): Promise<{ ground: GroundGrids; terrain: TerrainWindow }> {
  const scale = refine && isCoarse(catalogue, sets, window) ? 2 : 1;
  const fine = refineWindow(window, scale);
  const canopy = findClutterSources(model)?.canopy;
  const terrain = await readWindow(catalogue, sets, fine, { fillVoids, ...(canopy !== undefined && { canopy }) });
  const bareAmslM = terrain.heightsAmslM;
  const covered = await coverGround(bareAmslM, catalogue, model, fine);
  const cellAmslM = scale === 1 ? bareAmslM : averageCentres(bareAmslM, window);
  const cpeAmslM = await mountOnRoofs(cellAmslM, catalogue, { model, cpe }, window);
  return { ground: { scale, ...covered, bareAmslM, cellAmslM, cpeAmslM }, terrain };
}

function refineWindow({ zoom, col0, row0, width, height }: LatticeWindow, scale: 1 | 2): LatticeWindow {
  if (scale === 1) return { zoom, col0, row0, width, height };
  return { zoom: zoom + 1, col0: 2 * col0, row0: 2 * row0, width: 2 * width, height: 2 * height };
}

function isCoarse(catalogue: TerrainCatalogue, sets: readonly string[], window: LatticeWindow): boolean {
  const finestM = Math.min(...selectElevationFiles(catalogue, sets).map((file) => file.resolutionM));
  const middleDeg = toLatitudeDeg(window.row0 + window.height / 2, window.zoom);
  return computeCellSizeM(middleDeg, window.zoom) > COARSE_CELL_SHARE * finestM;
}

/** Height at each cell's centre, where the corners of its four sample cells meet. */
function averageCentres(fine: Float32Array, { width, height }: LatticeWindow): Float32Array {
  const centres = new Float32Array(new SharedArrayBuffer(4 * width * height));
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const at = 4 * row * width + 2 * column;
      centres[row * width + column] = (fine[at] + fine[at + 1] + fine[at + 2 * width] + fine[at + 2 * width + 1]) / 4;
    }
  }
  return centres;
}
