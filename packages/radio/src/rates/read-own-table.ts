import { InputError } from "@fellmark/units";
import { checkOwnTables, type OwnStep, type OwnTable } from "./own-table.ts";

const COLUMNS = [
  "widthMhz",
  "streams",
  "symbolsPerUs",
  "sinrDb",
  "sensitivityDbm",
  "rateMbps",
  "bitsPerSymbol",
] as const;
type Column = (typeof COLUMNS)[number];

const MOST_LINES = 1000;

/**
 * Reads own rate tables from CSV: a header with widthMhz, sinrDb or sensitivityDbm, rateMbps or bitsPerSymbol, and
 * perhaps streams (default 1) and symbolsPerUs; then one line per step, slowest first within a width.
 * @param pointer JSON pointer of the text, for errors.
 * Throws InputError that names the line, or the step as `checkOwnTables` does.
 * Example: "widthMhz,sensitivityDbm,rateMbps" and "20,-93,6.5" and "20,-90,13".
 */
export function readOwnTables(text: string, pointer = ""): OwnTable[] {
  const lines = text
    .replace(/^\uFEFF/, "")
    .trim()
    .split(/\r?\n/);
  if (lines.length > MOST_LINES) refuse(pointer, 1, `the table has ${lines.length} lines`, `${MOST_LINES} lines`);
  const header = lines[0].split(",").map((name) => name.trim());
  checkHeader(header, pointer);
  const tables: OwnTable[] = [];
  lines.slice(1).forEach((line, index) => {
    addLine(tables, readLine(line, header, pointer, index + 2));
  });
  if (tables.length === 0) refuse(pointer, 1, "the table has no step", "1 or more lines below the header");
  checkOwnTables(tables, pointer);
  return tables;
}

function checkHeader(header: readonly string[], pointer: string): void {
  const known = COLUMNS.join(", ");
  const unknown = header.find((name) => !(COLUMNS as readonly string[]).includes(name));
  if (unknown !== undefined) refuse(pointer, 1, `unknown column "${unknown.slice(0, 40)}"`, known);
  const twice = header.find((name, index) => header.indexOf(name) !== index);
  if (twice !== undefined) refuse(pointer, 1, `the column ${twice} occurs twice`, "each column once");
  if (!header.includes("widthMhz")) refuse(pointer, 1, "the column widthMhz is missing", known);
}

type Values = Partial<Record<Column, number>>;

function readLine(line: string, header: readonly string[], pointer: string, number: number): Values {
  const cells = line.split(",").map((cell) => cell.trim());
  if (cells.length !== header.length) {
    refuse(pointer, number, `${cells.length} cells under ${header.length} columns`, `${header.length} cells`);
  }
  const values: Values = {};
  header.forEach((name, index) => {
    if (cells[index] === "") return;
    const value = Number(cells[index]);
    if (!Number.isFinite(value)) refuse(pointer, number, `${name} is "${cells[index].slice(0, 40)}"`, "a number");
    values[name as Column] = value;
  });
  if (values.widthMhz === undefined) refuse(pointer, number, "widthMhz is empty", "a number");
  return values;
}

function addLine(tables: OwnTable[], { widthMhz = 0, streams = 1, symbolsPerUs, ...step }: Values): void {
  const steps = tables.find((table) => table.widthMhz === widthMhz)?.steps as OwnStep[] | undefined;
  if (steps) steps.push(step);
  else tables.push({ widthMhz, streams, ...(symbolsPerUs !== undefined && { symbolsPerUs }), steps: [step] });
}

function refuse(pointer: string, line: number, detail: string, limit: string): never {
  throw new InputError([{ pointer, detail: `line ${line}: ${detail}`, limit }]);
}
