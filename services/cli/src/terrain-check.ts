import type { Compute } from "@fellmark/compute";
import { FellmarkError } from "@fellmark/units";
import { parseWords, required } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { columns } from "./summary-table.ts";

const DEADLINE_MS = 3_600_000;

/** `terrain check DIR`: every tile with extent, resolution and voids, and every refusal with its reason. */
export async function terrainCheck(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const { positionals } = parseWords(words, []);
  const dir = pathFrom(config, required(positionals[0], "DIR"));
  const report = await compute.terrainReport(dir, { deadlineMs: DEADLINE_MS });
  const rows = report.files.map(({ file, voidCells, cells, lowestAmslM, highestAmslM }) => [
    file.set,
    file.name,
    `${file.format} EPSG:${file.epsg}`,
    `${file.widthPx} x ${file.heightPx}`,
    `${file.resolutionM.toFixed(1)} m`,
    file.bbox.map((degrees) => degrees.toFixed(4)).join(" "),
    `${lowestAmslM}..${highestAmslM} m`,
    `${voidCells} voids (${((100 * voidCells) / cells).toFixed(2)} %)`,
    file.kind,
  ]);
  const heading = ["set", "file", "format", "cells", "cell", "west south east north", "heights", "voids", "kind"];
  const refused = report.refused.map(({ name, reason }) => `refused ${name}: ${reason}`);
  process.stdout.write(`${[columns([heading, ...rows]), ...refused, `version ${report.fingerprint}`].join("\n")}\n`);
  if (rows.length === 0) throw new FellmarkError("terrain_empty", `no usable raster in ${dir}`);
}
