import { createWriteStream } from "node:fs";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { formatCsvLine } from "@fellmark/premises";
import type { ResultFacts } from "../describe-result.ts";
import { LEAD_COLUMNS, type LeadLine, readValue } from "./lead-answer.ts";

type Lines = () => AsyncIterable<LeadLine[]>;

/** Origin of the answers, the last columns of every row: a line of its own would not survive in a spreadsheet. */
const FACT_COLUMNS = {
  date: "date",
  networkVersion: "network",
  modelVersion: "model",
  terrainVersion: "terrain",
  confidence: "confidence",
} as const satisfies Record<string, keyof ResultFacts>;

/** Columns of the file with the leads, which come back behind ours. */
export interface FileColumns {
  columns: readonly string[];
  /** Cells of a lead by its number, from 0. */
  cellsOf(lead: number): readonly string[];
}

/** Writes answers.csv and answers.geojson into a folder; the lines are read twice, a chunk at a time. Returns their names. */
export async function writeAnswers(
  outDir: string,
  lines: Lines,
  facts: ResultFacts,
  own: FileColumns,
): Promise<string[]> {
  const named = { ...own, columns: nameApart(own.columns) };
  await writeText(path.join(outDir, "answers.csv"), formatCsv(lines(), facts, named));
  await writeText(path.join(outDir, "answers.geojson"), formatGeojson(lines(), facts, named));
  return ["answers.csv", "answers.geojson"];
}

function writeText(file: string, text: AsyncIterable<string>): Promise<void> {
  return pipeline(Readable.from(text), createWriteStream(file));
}

/** Names of columns in the file that ours have too begin with "file.". */
function nameApart(columns: readonly string[]): string[] {
  const ours = new Set([...LEAD_COLUMNS, ...Object.keys(FACT_COLUMNS)].map((name) => name.toLowerCase()));
  return columns.map((name) => (ours.has(name.toLowerCase()) ? `file.${name}` : name));
}

async function* formatCsv(
  chunks: AsyncIterable<LeadLine[]>,
  facts: ResultFacts,
  { columns, cellsOf }: FileColumns,
): AsyncGenerator<string> {
  const origin = Object.values(FACT_COLUMNS).map((name) => facts[name]);
  yield formatCsvLine([...LEAD_COLUMNS, ...Object.keys(FACT_COLUMNS), ...columns]);
  let lead = 0;
  for await (const lines of chunks) {
    const formatted = lines.map((line) => {
      const cells = cellsOf(lead++);
      return formatCsvLine([...line, ...origin, ...columns.map((_, index) => cells[index] ?? "")]);
    });
    yield formatted.join("");
  }
}

/**
 * One feature a lead; a lead whose place is not known has no geometry. Facts stand on the collection as foreign members.
 * Source: RFC 7946, sections 3.2 and 6.1.
 */
async function* formatGeojson(
  chunks: AsyncIterable<LeadLine[]>,
  facts: ResultFacts,
  { columns, cellsOf }: FileColumns,
): AsyncGenerator<string> {
  yield `${JSON.stringify({ type: "FeatureCollection", version: 1, ...facts }).slice(0, -1)},"features":[`;
  let between = "\n";
  let lead = 0;
  for await (const lines of chunks) {
    for (const line of lines) {
      yield between + JSON.stringify(toFeature(line, columns, cellsOf(lead++)));
      between = ",\n";
    }
  }
  yield "\n]}\n";
}

function toFeature(line: LeadLine, columns: readonly string[], cells: readonly string[]) {
  const lon = readValue(line, "lon");
  const coordinates = [lon, readValue(line, "lat")];
  const properties = Object.fromEntries([
    ...LEAD_COLUMNS.map((column, index) => [column, line[index]]),
    ...columns.map((column, index) => [column, cells[index] ?? null]),
  ]);
  return { type: "Feature", geometry: lon === null ? null : { type: "Point", coordinates }, properties };
}
