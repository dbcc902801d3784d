import type { Compute } from "@fellmark/compute";
import { FellmarkError } from "@fellmark/units";
import { parseWords, required } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { columns } from "./summary-table.ts";

const DEADLINE_MS = 3_600_000;

type FileReport = Awaited<ReturnType<Compute["terrainReport"]>>["files"][number];

/** `terrain check DIR`: every raster with extent, resolution, voids and contents, and every refusal with its reason. */
export async function terrainCheck(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const { positionals } = parseWords(words, []);
  const dir = pathFrom(config, required(positionals[0], "DIR"));
  const report = await compute.terrainReport(dir, { deadlineMs: DEADLINE_MS });
  const rows = report.files.map((each) => [
    each.file.set,
    each.file.name,
    `${each.file.format} ${isOwnCrs(each) ? "user-defined" : each.crs}`,
    `${each.file.widthPx} x ${each.file.heightPx}`,
    `${each.file.resolutionM.toFixed(1)} m`,
    each.file.bbox.map((degrees) => degrees.toFixed(4)).join(" "),
    contents(each),
    `${each.voidCells} voids (${percent(each.voidCells, each.cells)})`,
    each.file.kind,
  ]);
  const heading = ["set", "file", "format", "cells", "cell", "west south east north", "contents", "voids", "kind"];
  const notes = report.files.flatMap((each) => [
    ...(isOwnCrs(each) ? [`${each.file.name}: ${each.crs}`] : []),
    ...codeLines(each),
  ]);
  const refused = report.refused.map(({ name, reason }) => `refused ${name}: ${reason}`);
  process.stdout.write(
    `${[columns([heading, ...rows]), ...notes, ...refused, `version ${report.fingerprint}`].join("\n")}\n`,
  );
  if (rows.length === 0) throw new FellmarkError("terrain_empty", `no usable raster in ${dir}`);
}

/** Whether a file writes its reference system out instead of naming it. */
function isOwnCrs({ file }: FileReport): boolean {
  return typeof file.crs === "string";
}

function contents({ file, codes, lowestM, highestM, coveredCells, cells }: FileReport): string {
  if (file.kind === "land-cover") return `${codes.length} codes`;
  const range = `${lowestM}..${highestM} m`;
  const stands = file.kind === "canopy" || file.kind === "buildings";
  return stands ? `${range}, ${percent(coveredCells, cells)} of 2 m and more` : range;
}

/** Codes of land cover with their shares; those that the legend does not have stand by themselves. */
function codeLines({ file, codes, cells }: FileReport): string[] {
  const list = (some: typeof codes) =>
    some.map(({ code, name, cells: own }) => [code, ...(name ? [name] : []), percent(own, cells)].join(" ")).join(", ");
  const known = codes.filter(({ name }) => name !== null);
  const strange = codes.filter(({ name }) => name === null);
  return [
    ...(known.length > 0 ? [`${file.name}: ${list(known)}`] : []),
    ...(strange.length > 0 ? [`${file.name}: not in the legend: ${list(strange)}`] : []),
  ];
}

function percent(part: number, whole: number): string {
  return `${((100 * part) / whole).toFixed(2)} %`;
}
