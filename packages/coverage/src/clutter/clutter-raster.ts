import type { LatticeWindow, LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, ModelSpec } from "@fellmark/network";
import {
  CLUTTER_KINDS,
  type ClutterSources,
  openClutter,
  readClutterWindow,
  type TerrainCatalogue,
} from "@fellmark/terrain";
import {
  type ClutterAround,
  type EndsOf,
  findStatedClutter,
  toRasterClutter,
  UNKNOWN_CLUTTER,
} from "../link/end-clutter.ts";
import { encodeClutter } from "./clutter-code.ts";

/** Clutter on the cells of a window by the rasters of a request. */
export interface ClutterCells {
  /** By clutterCode; shared memory, row-major; null where no raster tells it. */
  codes: Uint16Array | null;
  /** Codes of land cover that the legend does not have, with their cells. */
  unknownCodes: { code: number; cells: number }[];
  /** Measured heights that are rare, each kind with its cells and the highest, m. */
  rareHeights: { kind: "trees" | "buildings"; cells: number; highestM: number }[];
}

/** The rasters that clutter is taken from, or null. */
export function findClutterSources({ clutter }: Pick<ModelSpec, "clutter">): ClutterSources | null {
  return "class" in clutter ? null : clutter;
}

/** Throws InputError below /model/clutter for a set that does not fit. */
export async function readClutterCells(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  window: LatticeWindow,
): Promise<ClutterCells> {
  const sources = findClutterSources(request.model);
  if (sources === null) return { codes: null, unknownCodes: [], rareHeights: [] };
  const { heightM, kind, isMeasured, unknownCodes } = await readClutterWindow(catalogue, sources, window);
  const codes = new Uint16Array(new SharedArrayBuffer(2 * heightM.length));
  const flatM = CLUTTER_KINDS.map((kind) => toRasterClutter({ kind, heightM: 0, isMeasured: false }).heightM);
  for (let cell = 0; cell < codes.length; cell++) {
    const number = kind[cell];
    const standsM = heightM[cell] === 0 ? flatM[number] : heightM[cell];
    codes[cell] = number === 0 ? 0 : encodeClutter(number, standsM, isMeasured[cell] === 1);
  }
  return { codes, unknownCodes, rareHeights: findRareHeights(heightM, kind, isMeasured) };
}

/** Measured heights above which a tree and a building are rare enough to ask whether the unit is right, m. Common practice, no source. */
const RARE_M = { trees: 60, buildings: 250 };

function findRareHeights(
  heightM: ArrayLike<number>,
  kind: ArrayLike<number>,
  isMeasured: ArrayLike<number>,
): ClutterCells["rareHeights"] {
  const found = { trees: { cells: 0, highestM: 0 }, buildings: { cells: 0, highestM: 0 } };
  for (let cell = 0; cell < heightM.length; cell++) {
    const name = CLUTTER_KINDS[kind[cell]] === "trees" ? "trees" : "buildings";
    if (isMeasured[cell] !== 1 || !(heightM[cell] > RARE_M[name])) continue;
    found[name].cells++;
    found[name].highestM = Math.max(found[name].highestM, heightM[cell]);
  }
  return (["trees", "buildings"] as const).flatMap((name) =>
    found[name].cells > 0 ? { kind: name, ...found[name] } : [],
  );
}

/** Half a side of the box that is read around a mast, degrees. */
const AROUND_DEG = 0.01;

/** Clutter around the masts by the rasters; the CPE's clutter is then a matter of its cell. */
export async function readEnds(catalogue: TerrainCatalogue, request: CoverageRequest): Promise<EndsOf> {
  const sources = findClutterSources(request.model);
  if (sources === null) return () => findStatedClutter(request.model);
  const around = new Map<string, ClutterAround>();
  for (const { id, lon, lat } of request.sites) {
    around.set(id, (await openClutter(catalogue, sources, findBoxAround({ lon, lat }))).findClutter(lon, lat));
  }
  return createEnds(around);
}

/** The ends of links whose masts stand among what rasters say of their sites; that of CPEs is a matter of the place. */
export function createEnds(atSite: ReadonlyMap<string, ClutterAround>): EndsOf {
  return ({ site }) => ({ mast: toRasterClutter(atSite.get(site) ?? UNKNOWN_CLUTTER), cpe: UNKNOWN_CLUTTER });
}

function findBoxAround({ lon, lat }: LonLat): [number, number, number, number] {
  return [lon - AROUND_DEG, lat - AROUND_DEG, lon + AROUND_DEG, lat + AROUND_DEG];
}
