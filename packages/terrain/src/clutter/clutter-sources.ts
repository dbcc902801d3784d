import { InputError } from "@fellmark/units";
import { createKindError, findSet, type TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import type { TerrainFile } from "../catalogue/terrain-file.ts";
import type { ClutterKind, TerrainSet } from "../catalogue/terrain-sets.ts";
import { buildClutterTable, type ClutterTable } from "./clutter-table.ts";
import { LEGENDS, type Legend } from "./legends.ts";

/** Names of the clutter sets of a request; at least one. */
export interface ClutterSources {
  landCover?: string | undefined;
  /** Heights of classes by code, m, instead of those of the legend. */
  heights?: Record<string, number> | undefined;
  canopy?: string | undefined;
  buildings?: string | undefined;
}

const POINTER = "/model/clutter";

/** The files of each source of a request, highest priority first; null for a source that the request does not name. */
export interface ResolvedSources {
  landCover: { files: TerrainFile[]; table: ClutterTable } | null;
  canopy: TerrainFile[] | null;
  buildings: TerrainFile[] | null;
}

/**
 * Checks the sources against a catalogue. Throws InputError at /model/clutter/...: `terrain_set_unknown`,
 * `terrain_set_kind`, or `invalid_input` for land cover without a legend and for a code that the legend does not have.
 */
export function checkClutterSources(catalogue: TerrainCatalogue, sources: ClutterSources): void {
  resolveSources(catalogue, sources);
}

export function resolveSources(catalogue: TerrainCatalogue, sources: ClutterSources): ResolvedSources {
  const { landCover, heights = {}, canopy, buildings } = sources;
  if (landCover === undefined && Object.keys(heights).length > 0) {
    throw new InputError([
      { pointer: `${POINTER}/heights`, detail: "heights are given by land-cover code, but landCover is missing" },
    ]);
  }
  return {
    landCover: landCover === undefined ? null : resolveLandCover(catalogue, landCover, heights),
    canopy: canopy === undefined ? null : selectFilesOfKind(catalogue, canopy, "canopy", "canopy"),
    buildings: buildings === undefined ? null : selectFilesOfKind(catalogue, buildings, "buildings", "buildings"),
  };
}

function resolveLandCover(catalogue: TerrainCatalogue, name: string, heights: Record<string, number>) {
  const files = selectFilesOfKind(catalogue, name, "land-cover", "landCover");
  const { legend } = catalogue.sets.find((set) => set.name === name) as TerrainSet;
  if (legend === undefined) {
    const detail = `terrain set ${name} has no legend in terrain.json`;
    throw new InputError([{ pointer: `${POINTER}/landCover`, detail, limit: Object.keys(LEGENDS).join(", ") }]);
  }
  const rows = LEGENDS[legend] as Legend;
  const unknown = Object.keys(heights).filter((code) => !Object.hasOwn(rows, code));
  if (unknown.length > 0) {
    const toProblem = (code: string) => ({
      pointer: `${POINTER}/heights/${code.replaceAll("~", "~0").replaceAll("/", "~1")}`,
      detail: `legend ${legend} has no code ${code}`,
      limit: Object.keys(rows).join(", "),
    });
    throw new InputError(unknown.map(toProblem));
  }
  return { files, table: buildClutterTable(rows, heights) };
}

/**
 * Returns the files of one set; `field` is its field of the request.
 * Throws InputError `terrain_set_unknown`, or `terrain_set_kind` for a set of another kind.
 */
export function selectFilesOfKind(
  catalogue: TerrainCatalogue,
  name: string,
  kind: ClutterKind,
  field: string,
): TerrainFile[] {
  const pointer = `${POINTER}/${field}`;
  const set = findSet(catalogue, name, pointer);
  if (set.kind !== kind) throw createKindError(pointer, name, set.kind, kind);
  return catalogue.files.filter((file) => file.set === name);
}
