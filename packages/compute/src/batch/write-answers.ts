import { createWriteStream } from "node:fs";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { formatCsvLine } from "@fellmark/premises";
import { LEAD_COLUMNS, type LeadLine, readValue } from "./lead-answer.ts";

type Lines = () => AsyncIterable<LeadLine[]>;

/** Writes answers.csv and answers.geojson into a folder; the lines are read twice, a chunk at a time. Returns their names. */
export async function writeAnswers(outDir: string, lines: Lines): Promise<string[]> {
  await writeText(path.join(outDir, "answers.csv"), formatCsv(lines()));
  await writeText(path.join(outDir, "answers.geojson"), formatGeojson(lines()));
  return ["answers.csv", "answers.geojson"];
}

function writeText(file: string, text: AsyncIterable<string>): Promise<void> {
  return pipeline(Readable.from(text), createWriteStream(file));
}

async function* formatCsv(chunks: AsyncIterable<LeadLine[]>): AsyncGenerator<string> {
  yield formatCsvLine(LEAD_COLUMNS);
  for await (const lines of chunks) yield lines.map(formatCsvLine).join("");
}

/** One feature a lead; a lead whose place is not known has no geometry. Source: RFC 7946, section 3.2. */
async function* formatGeojson(chunks: AsyncIterable<LeadLine[]>): AsyncGenerator<string> {
  yield '{"type":"FeatureCollection","features":[';
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
