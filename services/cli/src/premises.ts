import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Compute } from "@fellmark/compute";
import {
  type Area,
  type ImportReport,
  openPremisesList,
  type PremisesList,
  parseColumnMap,
  type SearchHit,
} from "@fellmark/premises";
import { InputError } from "@fellmark/units";
import { lonLat, numberWithin, parseWords, required, wholeNumber } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { startProgressBar } from "./progress-bar.ts";
import { TENANT } from "./request-file.ts";
import { columns } from "./summary-table.ts";

const DEADLINE_MS = 3_600_000;

/** Rejected rows that the terminal shows; --json has the first thousand. */
const SHOWN_ROWS = 20;

/**
 * `premises import FILE [--map role=column,...] [--crs EPSG] [--quality NAME] [--delimiter SIGN] [--area=W,S,E,N]
 * [--keep-others] [--db DIR] [--json FILE]`: makes the file the list of premises in the data folder of a service.
 */
export async function premisesImport(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const names = ["map", "crs", "quality", "delimiter", "area", "db", "json"];
  const { values, switches, positionals } = parseWords(words, names, ["keep-others"]);
  const task = {
    file: pathFrom(config, required(positionals[0], "FILE")),
    premisesDir: premisesDir(values.db, config),
    tenant: TENANT,
    map: parseColumnMap(values.map ?? ""),
    crs: wholeNumber(values.crs, "--crs", 1, 1_000_000),
    quality: values.quality,
    delimiter: values.delimiter,
    area: areaOf(values.area),
    keepOthers: switches.has("keep-others"),
  };
  const bar = startProgressBar("premises");
  const report = await compute
    .importPremises(task, { deadlineMs: DEADLINE_MS, onProgress: bar.update })
    .finally(bar.stop);
  if (values.json !== undefined) await writeFile(pathFrom(config, values.json), `${JSON.stringify(report, null, 1)}\n`);
  process.stdout.write(`${reportText(report)}\n`);
}

/** `premises search TEXT [--db DIR]`, or `--near=LON,LAT` in place of text. */
export async function premisesSearch(words: string[], config: CliConfig): Promise<void> {
  const { values, positionals } = parseWords(words, ["db", "near"]);
  const near = values.near === undefined ? undefined : lonLat(values.near, "--near");
  const text = near ? "" : required(positionals.join(" "), "TEXT");
  const list = await openPremisesList(premisesDir(values.db, config), TENANT);
  try {
    process.stdout.write(`${near ? nearText(list, near) : foundText(list, text)}\n`);
  } finally {
    list?.close();
  }
}

/** Text from outside, without what would steer a terminal. */
function printable(text: string): string {
  return text.replace(/\p{C}/gu, "\ufffd");
}

/** Where the points are expected: west, south, east, north in degrees. */
function areaOf(text: string | undefined): Area | undefined {
  if (text === undefined) return undefined;
  const [west, south, east, north, ...rest] = text
    .split(",")
    .map((part) => numberWithin(part, "--area", -180, 360) as number);
  if (rest.length === 0 && west < east && south < north) return [west, south, east, north];
  throw new InputError([{ pointer: "--area", detail: `must be W,S,E,N in degrees, got "${text}"` }]);
}

/** The data folder of a service, its default where none is named. */
export function premisesDir(db: string | undefined, config: CliConfig): string {
  return join(pathFrom(config, db ?? ".data"), "premises");
}

function reportText({
  rows,
  imported,
  rejected,
  byReason,
  rejectedRows,
  findings,
  map,
  premises,
}: ImportReport): string {
  const { count, added, changed, same, removed } = premises;
  const shown = rejectedRows.slice(0, SHOWN_ROWS).map(({ row, column, reason, detail, suggestion }) => {
    return `  row ${row} ${column}: ${reason}: ${detail}; ${suggestion}`;
  });
  const reasons = Object.entries(byReason).map(([reason, times]) => `${times} ${reason}`);
  return [
    `${imported} of ${rows} rows taken; the list has ${count}: ${added} added, ${changed} changed, ${same} same, ${removed} removed`,
    `columns: ${Object.entries(map)
      .map((pair) => pair.join("="))
      .join(", ")}`,
    ...findings.map(({ rows: times, detail }) => `${times} rows: ${detail}`),
    ...(rejected > 0 ? [`${rejected} rows left out: ${reasons.join(", ")}`, ...shown] : []),
    ...(rejected > shown.length ? [`  and ${rejected - shown.length} more`] : []),
  ].join("\n");
}

function foundText(list: PremisesList | undefined, text: string): string {
  const { hits, tie } = list?.search(text) ?? { hits: [], tie: false };
  if (hits.length === 0) return list ? "not known" : "not known: no premises were imported";
  return [...(tie ? ["equally good, nothing says which is meant:"] : []), hitTable(hits)].join("\n");
}

function hitTable(hits: SearchHit[]): string {
  return columns(
    hits.map(({ id, address, lon, lat }) => [printable(id), printable(address), String(lon), String(lat)]),
  );
}

function nearText(list: PremisesList | undefined, at: { lon: number; lat: number }): string {
  const near = list?.nearest(at, 10) ?? [];
  if (near.length === 0) return "not known: no premises were imported";
  return columns(
    near.map(({ id, address, distanceM }) => [`${distanceM.toFixed(1)} m`, printable(id), printable(address)]),
  );
}
