import { createHash } from "node:crypto";
import { existsSync, lstatSync, readdirSync, realpathSync, statSync } from "node:fs";
import { extname, join, posix } from "node:path";
import { FellmarkError, InputError, TerrainError } from "@fellmark/units";
import { refuseRaster } from "../raster/refuse-raster.ts";
import { inspectFile } from "./inspect-file.ts";
import { computeGroundStepM, computeLonLatBox, listVoids, type TerrainFile } from "./terrain-file.ts";
import { isElevation, isInside, readSets, SETS_FILE, type TerrainKind, type TerrainSet } from "./terrain-sets.ts";
import { findValueRange } from "./value-range.ts";

export interface RefusedFile {
  name: string;
  reason: string;
}

/** The rasters of one folder with checked headers; no cell has been read. */
export interface TerrainCatalogue {
  dir: string;
  sets: TerrainSet[];
  /** In the order of sets; inside a set finer files first, then by name. */
  files: TerrainFile[];
  refused: RefusedFile[];
  /** Version of the catalogue: it changes with the content, name, set, kind or legend of any file that is used. */
  fingerprint: string;
}

/**
 * Opens a folder of rasters. A file that cannot be used is named in `refused`, never an error.
 * Throws TerrainError `terrain_dir_missing` or `terrain_sets_invalid`.
 */
export async function openCatalogue(dir: string): Promise<TerrainCatalogue> {
  if (!existsSync(dir) || !statSync(dir).isDirectory()) {
    throw new TerrainError("terrain_dir_missing", `there is no terrain folder ${dir}`);
  }
  const root = realpathSync(dir);
  const sets = readSets(root);
  const files: TerrainFile[] = [];
  const refused: RefusedFile[] = [];
  for (const set of sets) {
    const found = await openSet(root, set);
    files.push(...found.files);
    refused.push(...found.refused);
  }
  return { dir: root, sets, files, refused, fingerprint: computeFingerprint(sets, files) };
}

/**
 * Returns the files of the given elevation sets, highest priority first.
 * Throws InputError `terrain_set_unknown`, or `terrain_set_kind` for a set that does not hold elevation.
 */
export function selectElevationFiles(catalogue: TerrainCatalogue, sets: readonly string[]): TerrainFile[] {
  for (const [index, name] of sets.entries()) {
    const { kind } = findSet(catalogue, name, `/terrain/sets/${index}`);
    if (!isElevation(kind)) throw createKindError(`/terrain/sets/${index}`, name, kind, "elevation");
  }
  return [...new Set(sets)].flatMap((name) => catalogue.files.filter((file) => file.set === name));
}

/** Returns the set of that name. Throws InputError `terrain_set_unknown` at `pointer`. */
export function findSet({ sets }: TerrainCatalogue, name: string, pointer: string): TerrainSet {
  const found = sets.find((set) => set.name === name);
  if (found) return found;
  const limit = sets.map((set) => set.name).join(", ");
  throw new InputError([{ pointer, detail: `there is no terrain set ${name}`, limit }], "terrain_set_unknown");
}

export function createKindError(pointer: string, name: string, kind: TerrainKind, wanted: string): InputError {
  const detail = `terrain set ${name} holds ${isElevation(kind) ? "elevation" : kind}, not ${wanted}`;
  return new InputError([{ pointer, detail, limit: wanted }], "terrain_set_kind");
}

async function openSet(root: string, set: TerrainSet): Promise<{ files: TerrainFile[]; refused: RefusedFile[] }> {
  const files: TerrainFile[] = [];
  const refused: RefusedFile[] = [];
  for (const fileName of readdirSync(join(root, set.path)).sort()) {
    if (fileName.startsWith(".") || fileName === SETS_FILE) continue;
    const name = posix.join(set.path, fileName);
    const path = join(root, set.path, fileName);
    if (lstatSync(path).isDirectory()) continue;
    try {
      files.push(await openFile(root, set, name, path));
    } catch (error) {
      refused.push({ name, reason: toReason(error) });
    }
  }
  files.sort((one, other) => one.resolutionM - other.resolutionM || (one.name < other.name ? -1 : 1));
  return { files, refused };
}

async function openFile(root: string, set: TerrainSet, name: string, path: string): Promise<TerrainFile> {
  if (!existsSync(path) || !isInside(root, path)) throw refuseRaster("it is a link that leads out of the folder");
  if (!statSync(path).isFile()) throw refuseRaster("it is not a plain file");
  if (!/\.(hgt|hgt\.zip|tiff?)$/i.test(name)) {
    throw refuseRaster(`${extname(name) || "a name without ending"} is not read; use .hgt, .hgt.zip, .tif or .tiff`);
  }
  const { identity, sha256, header } = await inspectFile(path);
  if (header.hasColours && set.kind !== "land-cover") {
    throw refuseRaster(
      "it holds codes with a table of colours, no heights; declare its set as land-cover in terrain.json",
    );
  }
  const bbox = computeLonLatBox(header.grid);
  return {
    name,
    set: set.name,
    kind: set.kind,
    path,
    identity,
    sha256,
    header,
    voids: listVoids(header),
    range: findValueRange(set.kind),
    resolutionM: computeGroundStepM(header.grid),
    widthPx: header.grid.widthPx,
    heightPx: header.grid.heightPx,
    bbox,
    format: header.format,
    crs: header.grid.crs,
    pixelIs: header.pixelIs,
  };
}

function toReason(error: unknown): string {
  if (error instanceof FellmarkError) return error.message;
  return `it cannot be read: ${error instanceof Error ? error.message : String(error)}`;
}

/** Hashes a line per file. The line of a set without a legend has no legend field, so old fingerprints stay valid. */
function computeFingerprint(sets: readonly TerrainSet[], files: readonly TerrainFile[]): string {
  const legends = new Map(sets.map(({ name, legend }) => [name, legend === undefined ? [] : [legend]]));
  const lines = files.map(({ set, kind, name, sha256 }) =>
    JSON.stringify([set, kind, name, sha256, ...(legends.get(set) as string[])]),
  );
  return createHash("sha256").update(lines.sort().join("\n")).digest("hex");
}
