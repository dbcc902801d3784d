import { readdirSync, readFileSync } from "node:fs";
import { join, posix, sep } from "node:path";
import { InputError } from "@fellmark/units";

/** One file of the folder. */
export interface DataFile {
  /** Path below the folder, with slashes. */
  path: string;
  text: string;
  /** The parsed content of a .json file, undefined of any other. */
  json: unknown;
  /** The first line. */
  header: string;
}

export interface DataFolder {
  files: DataFile[];
  find(path: string): DataFile | undefined;
}

/** Every file below a folder, in order of its path. Throws InputError where a .json file is not JSON. */
export function readDataFolder(folder: string): DataFolder {
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true });
  const paths = entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name));
  const files = paths.map((path) => readDataFile(folder, path)).sort((a, b) => (a.path < b.path ? -1 : 1));
  return { files, find: (path) => files.find((file) => file.path === path) };
}

function readDataFile(folder: string, fullPath: string): DataFile {
  const path = fullPath.slice(folder.length).split(sep).filter(Boolean).join("/");
  // Latin-1 reads any byte: some headers hold a degree sign in that encoding, and all numbers are ASCII.
  const text = readFileSync(fullPath, "latin1");
  const json = posix.extname(path) === ".json" ? parseJson(text, path) : undefined;
  return { path, text, json, header: text.slice(0, text.search(/\r?\n|$/)) };
}

function parseJson(text: string, path: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new InputError([{ pointer: `/${path}`, detail: `is not JSON: ${(error as Error).message}` }]);
  }
}

export type CsvRow = Record<string, string>;

/** The rows of a CSV file by the names of its header; fields in double quotes may hold commas. */
export function csvRows(file: DataFile): CsvRow[] {
  const [header, ...lines] = file.text.split(/\r?\n/).filter((line) => line.trim() !== "");
  const names = csvFields(header);
  return lines.map((line) => Object.fromEntries(csvFields(line).map((field, i) => [names[i] ?? String(i), field])));
}

/** The fields of one line, trimmed. */
export function csvFields(line: string): string[] {
  const fields = line.match(/(?<=^|,)("[^"]*"|[^,]*)(?=,|$)/g) ?? [];
  return fields.map((field) => field.trim().replace(/^"(.*)"$/, "$1"));
}
