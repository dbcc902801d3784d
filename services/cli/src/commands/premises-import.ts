import { writeFile } from "node:fs/promises";
import { type Area, parseColumnMap } from "@fellmark/premises";
import { InputError } from "@fellmark/units";
import { type Command, Option } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import { createColumnOptions, createDataOption, resolvePremisesDir } from "../input/column-options.ts";
import { createJsonOption, createTextOption, parseNumbers } from "../input/options.ts";
import { TENANT } from "../input/request-file.ts";
import { formatImport } from "../output/import-text.ts";
import { printText } from "../output/print.ts";

const DEADLINE_MS = 3_600_000;

interface ImportOptions {
  map?: string;
  crs?: number;
  quality?: string;
  delimiter?: string;
  area?: Area;
  keepOthers?: boolean;
  db?: string;
  json?: string;
}

const EXAMPLE = `
Example:
  fellmark premises import addresses.csv --map id=ref,address=street --area=-73.5,42.7,-71.4,45.1`;

/** Adds `premises import`: makes a file the list of premises in the data folder of a service. */
export function addPremisesImportCommand(premises: Command, context: CommandContext): void {
  const [map, crs] = createColumnOptions();
  premises
    .command("import")
    .summary("Make a CSV or GeoJSON file the list of addresses")
    .description("Make a file the list of addresses. Rows at fault are left out and listed with the reason")
    .argument("<FILE>", "CSV or GeoJSON file")
    .addOption(map)
    .addOption(crs)
    .addOption(createTextOption("--quality <NAME>", "location accuracy of rows that state none (default: unknown)"))
    .addOption(createTextOption("--delimiter <SIGN>", "sign between the columns (default: found from the file)"))
    .addOption(
      new Option("--area <W,S,E,N>", "box in degrees that the places lie in; rows outside are counted").argParser(
        parseArea,
      ),
    )
    .option("--keep-others", "keep addresses that the file does not have (default: the file is the whole list)")
    .addOption(createDataOption("data folder of the service"))
    .addOption(createJsonOption("write the report to a file, with the first thousand rows left out"))
    .addHelpText("after", EXAMPLE)
    .action((file: string, options: ImportOptions) => runImport(file, options, context));
}

async function runImport(file: string, options: ImportOptions, context: CommandContext): Promise<void> {
  const { config, compute, startProgress } = context;
  const task = {
    file: resolvePath(config, file),
    premisesDir: resolvePremisesDir(config, options.db),
    tenant: TENANT,
    map: parseColumnMap(options.map ?? ""),
    crs: options.crs,
    quality: options.quality,
    delimiter: options.delimiter,
    area: options.area,
    keepOthers: options.keepOthers === true,
  };
  const bar = startProgress("premises");
  const report = await compute
    .importPremises(task, { deadlineMs: DEADLINE_MS, onProgress: bar.update })
    .finally(bar.stop);
  if (options.json !== undefined) {
    await writeFile(resolvePath(config, options.json), `${JSON.stringify(report, null, 1)}\n`);
  }
  printText(formatImport(report));
}

function parseArea(text: string): Area {
  const [west, south, east, north, ...rest] = parseNumbers(text);
  const isBox = rest.length === 0 && west >= -180 && east <= 360 && south >= -90 && north <= 90;
  if (isBox && west < east && south < north) return [west, south, east, north];
  throw new InputError([{ pointer: "--area", detail: `must be W,S,E,N in degrees, got "${text}"` }]);
}
