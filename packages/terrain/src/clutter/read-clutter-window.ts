import type { LatticeWindow } from "@fellmark/geodesy";
import type { TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import type { TerrainFile } from "../catalogue/terrain-file.ts";
import { countNotKnown } from "../sample/count-not-known.ts";
import { computeWindowBox, fillWindow } from "../sample/fill-window.ts";
import { groupFiles } from "../sample/grid-group.ts";
import { sampleRowNearest } from "../sample/nearest.ts";
import { type ClutterSources, resolveSources } from "./clutter-sources.ts";
import { type ClutterTable, findKind, NO_ROW } from "./clutter-table.ts";
import { resolveClutter } from "./resolve-clutter.ts";

/** Most unknown codes that a result lists. */
const MAX_CODES_LISTED = 100;

/** A code that the legend does not have, and how many cells of the area hold it. */
export interface UnknownCode {
  code: number;
  cells: number;
}

/** Clutter of a lattice window; row-major, north row first, in shared memory. */
export interface ClutterWindow {
  /** Clutter height above the ground at cell centres, m; 0 on open land, NaN where not known. */
  heightM: Float32Array<SharedArrayBuffer>;
  /** Index into CLUTTER_KINDS. */
  kind: Uint8Array<SharedArrayBuffer>;
  /** 1 where a raster of heights tells it, 0 where only a class of land cover does or nothing. */
  isMeasured: Uint8Array<SharedArrayBuffer>;
  notKnownCells: number;
  /** Most frequent first, a hundred at most. */
  unknownCodes: UnknownCode[];
}

/**
 * Reads the clutter of a window; each source gives the value of its nearest cell.
 * Throws InputError as `checkClutterSources`, TerrainError when a file changed or its blocks are damaged.
 */
export async function readClutterWindow(
  catalogue: TerrainCatalogue,
  sources: ClutterSources,
  window: LatticeWindow,
): Promise<ClutterWindow> {
  const { landCover, canopy, buildings } = resolveSources(catalogue, sources);
  const cells = window.width * window.height;
  const heightM = new Float32Array(new SharedArrayBuffer(4 * cells));
  const kind = new Uint8Array(new SharedArrayBuffer(cells));
  const isMeasured = new Uint8Array(new SharedArrayBuffer(cells));
  const codes = landCover && (await readNearest(landCover.files, window));
  const values = {
    codes,
    table: landCover?.table ?? null,
    canopy: canopy && (await readNearest(canopy, window)),
    buildings: buildings && (await readNearest(buildings, window)),
  };
  const notKnownCells = resolveClutter(values, heightM, kind, isMeasured);
  return {
    heightM,
    kind,
    isMeasured,
    notKnownCells,
    unknownCodes: landCover && codes ? countUnknownCodes(codes, landCover.table) : [],
  };
}

/** Returns the values of the nearest cells; NaN where no file knows the place. */
async function readNearest(files: readonly TerrainFile[], window: LatticeWindow): Promise<Float32Array> {
  const values = new Float32Array(window.width * window.height).fill(Number.NaN);
  for (const group of groupFiles(files, computeWindowBox(window))) {
    await fillWindow(group, window, values, { sampleRow: sampleRowNearest });
    if (countNotKnown(values) === 0) break;
  }
  return values;
}

function countUnknownCodes(codes: Float32Array, table: ClutterTable): UnknownCode[] {
  const counts = new Map<number, number>();
  for (let cell = 0; cell < codes.length; cell++) {
    const code = codes[cell] as number;
    if (Number.isNaN(code) || findKind(table, code) !== NO_ROW) continue;
    const before = counts.get(code) ?? 0;
    if (before > 0 || counts.size < MAX_CODES_LISTED) counts.set(code, before + 1);
  }
  return Array.from(counts, ([code, cells]) => ({ code, cells })).sort((one, other) => other.cells - one.cells);
}
