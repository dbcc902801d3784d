import { existsSync, readFileSync, realpathSync, statSync } from "node:fs";
import { join, sep } from "node:path";
import { TerrainError } from "@fellmark/units";
import { LEGENDS } from "../clutter/legends.ts";

/** Meaning of the heights of an elevation set: bare ground, surface with trees and buildings, or not declared. */
export type ElevationKind = "bare" | "surface" | "unknown";

/** Kinds of clutter sets: heights of trees or of buildings above the ground, m, or codes of land cover. */
export type ClutterKind = "canopy" | "buildings" | "land-cover";

export type TerrainKind = ElevationKind | ClutterKind;

export interface TerrainSet {
  name: string;
  /** Folder of the set, relative to the terrain folder, with `/` between names; "." is the folder itself. */
  path: string;
  kind: TerrainKind;
  /** Legend of land cover: a key of LEGENDS. */
  legend?: string;
}

const ELEVATION_KINDS: readonly unknown[] = ["bare", "surface", "unknown"] satisfies ElevationKind[];
const KINDS: readonly unknown[] = [
  ...ELEVATION_KINDS,
  ...(["canopy", "buildings", "land-cover"] satisfies ClutterKind[]),
];
const MAX_BYTES = 1_000_000;

/** The file that names the sets of a terrain folder. */
export const SETS_FILE = "terrain.json";

/**
 * The sets that terrain.json declares; without it the whole folder is one set "default" of unknown kind.
 * Throws TerrainError `terrain_sets_invalid`.
 */
export function readSets(root: string): TerrainSet[] {
  const file = join(root, SETS_FILE);
  if (!existsSync(file)) return [{ name: "default", path: ".", kind: "unknown" }];
  if (!isInside(root, file) || !statSync(file).isFile() || statSync(file).size > MAX_BYTES) {
    throw refuseSets("it is not a plain file of the folder, or too large");
  }
  const sets = parseSets(readFileSync(file, "utf8"));
  for (const set of sets) requireFolder(root, set);
  return sets;
}

function parseSets(text: string): TerrainSet[] {
  let document: unknown;
  try {
    document = JSON.parse(text);
  } catch (error) {
    throw refuseSets(String(error));
  }
  requireKeys(document, ["version", "sets"]);
  if (document.version !== 1) throw refuseSets("version must be 1");
  if (!Array.isArray(document.sets) || document.sets.length === 0)
    throw refuseSets("sets must be a list of one or more");
  const sets = document.sets.map(toSet);
  if (new Set(sets.map((set) => set.name)).size < sets.length) throw refuseSets("two sets have one name");
  return sets;
}

function toSet(value: unknown): TerrainSet {
  requireKeys(value, ["name", "path", "kind", "legend"]);
  const { name, path, kind, legend } = value;
  if (typeof name !== "string" || !/^[\w.-]{1,64}$/.test(name))
    throw refuseSets(`a set is named ${JSON.stringify(name)}`);
  if (typeof path !== "string" || path.includes("\0")) throw refuseSets(`set ${name}: path must be text`);
  if (!KINDS.includes(kind)) throw refuseSets(`set ${name}: kind must be one of ${KINDS.join(", ")}`);
  return { name, path, kind: kind as TerrainKind, ...readLegend(name, kind, legend) };
}

function readLegend(name: string, kind: unknown, legend: unknown): { legend?: string } {
  if (legend === undefined) return {};
  if (kind !== "land-cover") throw refuseSets(`set ${name}: only land-cover has a legend`);
  if (typeof legend === "string" && Object.hasOwn(LEGENDS, legend)) return { legend };
  throw refuseSets(`set ${name}: legend must be one of ${Object.keys(LEGENDS).join(", ")}`);
}

export function isElevation(kind: TerrainKind): kind is ElevationKind {
  return ELEVATION_KINDS.includes(kind);
}

function requireKeys(value: unknown, keys: string[]): asserts value is Record<string, unknown> {
  if (typeof value !== "object" || value === null || Array.isArray(value)) throw refuseSets("an object was expected");
  const unknown = Object.keys(value).find((key) => !keys.includes(key));
  if (unknown !== undefined) throw refuseSets(`unknown key ${JSON.stringify(unknown)}`);
}

function requireFolder(root: string, { name, path }: TerrainSet): void {
  const folder = join(root, path);
  if (!existsSync(folder) || !isInside(root, folder))
    throw refuseSets(`set ${name}: ${path} is not a folder inside this one`);
  if (!statSync(folder).isDirectory()) throw refuseSets(`set ${name}: ${path} is not a folder`);
}

/** True where a path, after its links are followed, stays inside a folder. `root` must be a real path. */
export function isInside(root: string, path: string): boolean {
  const real = realpathSync(path);
  return real === root || real.startsWith(root.endsWith(sep) ? root : root + sep);
}

function refuseSets(reason: string): TerrainError {
  return new TerrainError("terrain_sets_invalid", `${SETS_FILE}: ${reason}`);
}
