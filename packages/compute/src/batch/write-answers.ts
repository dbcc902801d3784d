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

/** Writes answers.csv and answers.geojson into a folder; the lines are read twice, a chunk at a time. Returns their names. */
export async function writeAnswers(outDir: string, lines: Lines, facts: ResultFacts): Promise<string[]> {
  await writeText(path.join(outDir, "answers.csv"), formatCsv(lines(), facts));
  await writeText(path.join(outDir, "answers.geojson"), formatGeojson(lines(), facts));
  return ["answers.csv", "answers.geojson"];
}

function writeText(file: string, text: AsyncIterable<string>): Promise<void> {
  return pipeline(Readable.from(text), createWriteStream(file));
}

async function* formatCsv(chunks: AsyncIterable<LeadLine[]>, facts: ResultFacts): AsyncGenerator<string> {
  const origin = Object.values(FACT_COLUMNS).map((name) => facts[name]);
  yield formatCsvLine([...LEAD_COLUMNS, ...Object.keys(FACT_COLUMNS)]);
  for await (const lines of chunks) yield lines.map((line) => formatCsvLine([...line, ...origin])).join("");
}

/**
 * One feature a lead; a lead whose place is not known has no geometry. Facts stand on the collection as foreign members.
 * Source: RFC 7946, sections 3.2 and 6.1.
 */
async function* formatGeojson(chunks: AsyncIterable<LeadLine[]>, facts: ResultFacts): AsyncGenerator<string> {
  yield `${JSON.stringify({ type: "FeatureCollection", version: 1, ...facts }).slice(0, -1)},"features":[`;
  let between = "\n";
  for await (const lines of chunks) {
    for (const line of lines) {
      yield between + JSON.stringify(toFeature(line));
      between = ",\n";
    }
  }
  yield "\n]}\n";
}

function toFeature(line: LeadLine) {
  const lon = readValue(line, "lon");
  const coordinates = [lon, readValue(line, "lat")];
  const properties = Object.fromEntries(LEAD_COLUMNS.map((column, index) => [column, line[index]]));
  return { type: "Feature", geometry: lon === null ? null : { type: "Point", coordinates }, properties };
}
