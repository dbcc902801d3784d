import type { LatticeWindow } from "@fellmark/geodesy";
import { selectElevationFiles, type TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import type { TerrainFile } from "../catalogue/terrain-file.ts";
import type { ElevationKind } from "../catalogue/terrain-sets.ts";
import { selectFilesOfKind } from "../clutter/clutter-sources.ts";
import { sampleRowBilinear } from "../sample/bilinear.ts";
import { countNotKnown } from "../sample/count-not-known.ts";
import { computeWindowBox, fillWindow, type WindowSampling } from "../sample/fill-window.ts";
import { groupFiles } from "../sample/grid-group.ts";
import { fillVoids } from "./fill-voids.ts";
import { flagImplausible, type PlausibilityFlag } from "./plausibility.ts";
import { subtractCanopy } from "./subtract-canopy.ts";

export interface ReadWindowOptions {
  /** Fill small voids from the ground around them; those cells are counted in `filledCells`. */
  fillVoids: boolean;
  /** A set of canopy heights to subtract from sets of kind "surface"; where the canopy is not known the surface stays. */
  canopy?: string;
}

/** Ground heights on a lattice window. */
export interface TerrainWindow {
  window: LatticeWindow;
  /** At cell centres, row-major, north row first, NaN where not known; shared memory. */
  heightsAmslM: Float32Array<SharedArrayBuffer>;
  /** Kind of the files used: "unknown" where they differ, "bare" for surfaces after canopy was subtracted. */
  kind: ElevationKind;
  /** Every file that was read, highest priority first. */
  filesUsed: TerrainFile[];
  notKnownCells: number;
  filledCells: number;
  flags: PlausibilityFlag[];
}

/**
 * Reads the heights of a window from the sets asked for; where the best raster has a void, the next one is used.
 * Throws InputError `terrain_set_unknown` or `terrain_set_kind`, TerrainError when a file changed or its blocks are damaged.
 */
export async function readWindow(
  catalogue: TerrainCatalogue,
  sets: readonly string[],
  window: LatticeWindow,
  options: ReadWindowOptions,
): Promise<TerrainWindow> {
  const { width, height } = window;
  const heightsAmslM = new Float32Array(new SharedArrayBuffer(4 * width * height)).fill(Number.NaN);
  const filesUsed = new Set<TerrainFile>();
  const { canopy } = options;
  const canopyFiles = canopy === undefined ? null : selectFilesOfKind(catalogue, canopy, "canopy", "canopy");
  const sampling: WindowSampling = {
    sampleRow: sampleRowBilinear,
    ...(canopyFiles && { prepare: (group, cells) => subtractCanopy(group, cells, canopyFiles) }),
  };
  const outside = { low: 0, high: 0 };
  let notKnownCells = width * height;
  for (const group of groupFiles(selectElevationFiles(catalogue, sets), computeWindowBox(window))) {
    if (notKnownCells === 0) break;
    for (const { file } of group.members) filesUsed.add(file);
    const { low, high } = await fillWindow(group, window, heightsAmslM, sampling);
    outside.low += low;
    outside.high += high;
    notKnownCells = countNotKnown(heightsAmslM);
  }
  const filledCells = options.fillVoids ? fillVoids(heightsAmslM, width, height) : 0;
  return {
    window,
    heightsAmslM,
    kind: combineKinds(filesUsed, canopy),
    filesUsed: [...filesUsed],
    notKnownCells: notKnownCells - filledCells,
    filledCells,
    flags: flagImplausible(outside),
  };
}

/** Returns the kind of several files together; with `canopy`, canopy was subtracted from the surfaces. */
export function combineKinds(files: Iterable<TerrainFile>, canopy?: string): ElevationKind {
  const toKind = ({ kind }: TerrainFile) => (canopy !== undefined && kind === "surface" ? "bare" : kind);
  const kinds = new Set(Array.from(files, toKind));
  return kinds.size === 1 ? ([...kinds][0] as ElevationKind) : "unknown";
}
