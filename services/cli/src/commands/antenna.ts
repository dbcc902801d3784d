import { writeFile } from "node:fs/promises";
import { basename, extname } from "node:path";
import { type NamedAntenna, readCsvPeakDbi, type ServiceWindow } from "@fellmark/antenna";
import { reportAntennas } from "@fellmark/compute";
import { parseAntennaParameters, toDescription } from "@fellmark/network";
import { InputError } from "@fellmark/units";
import { type Command, Option } from "commander";
import type { CommandContext } from "../command-context.ts";
import { type CliConfig, resolvePath } from "../config.ts";
import { createJsonOption, createTextOption, parseNumbers } from "../input/options.ts";
import { readJson, readText } from "../input/request-file.ts";
import { formatAntennas } from "../output/antenna-text.ts";
import { printText } from "../output/print.ts";

const DEFAULT_FREQUENCY_GHZ = 5.5;
const MAX_FREQUENCIES = 10;

interface AntennaOptions {
  against?: string;
  frequency: number[];
  window?: ServiceWindow;
  svg?: string;
  json?: string;
}

const EXAMPLES = `
Examples:
  fellmark antenna horn.json --frequency 5.2,5.8 --svg cuts.svg
  fellmark antenna horn.json --against sector.csv --window 90,-10,0`;

/** Adds `antenna`: the parameters of one antenna, or of two side by side. */
export function addAntennaCommand(program: Command, context: CommandContext): void {
  program
    .command("antenna")
    .summary("Compute the parameters of an antenna and draw its pattern")
    .description(
      "Compute gain, widths, side lobes and efficiency of an antenna. " +
        "For one built from dimensions, tell which loss costs how much of the beam",
    )
    .argument("<FILE>", ".json: a description as in a request; .csv: cut,angleDeg,gainDbi; else pattern-exchange text")
    .addOption(createTextOption("--against <FILE>", "a second antenna beside it"))
    .addOption(
      new Option("--frequency <GHZ,...>", `frequencies in GHz, 0.4 to 70, at most ${MAX_FREQUENCIES}`)
        .argParser(parseFrequencies)
        .default([DEFAULT_FREQUENCY_GHZ], `${DEFAULT_FREQUENCY_GHZ}`),
    )
    .addOption(
      new Option(
        "--window <WIDTH,FROM,TO>",
        "where service is wanted, degrees: width in azimuth, lowest and highest elevation (default: half-power widths)",
      ).argParser(parseWindow),
    )
    .addOption(createTextOption("--svg <FILE>", "draw the cuts"))
    .addOption(createJsonOption("write the parameters to a file"))
    .addHelpText("after", EXAMPLES)
    .action((file: string, options: AntennaOptions) => runAntenna(file, options, context));
}

async function runAntenna(file: string, options: AntennaOptions, { config }: CommandContext): Promise<void> {
  const files = [file, ...(options.against === undefined ? [] : [options.against])];
  const [frequencyGhz, ...others] = options.frequency;
  const { antennas, window } = await readAntennas(files, config, { frequencyGhz, window: options.window });
  const report = reportAntennas({ antennas, frequenciesGhz: [frequencyGhz, ...others], ...(window && { window }) });
  if (options.svg !== undefined) await writeFile(resolvePath(config, options.svg), report.svg);
  if (options.json !== undefined) {
    const parameters = { version: 1, antennas: report.antennas };
    await writeFile(resolvePath(config, options.json), `${JSON.stringify(parameters, null, 1)}\n`);
  }
  printText(formatAntennas(report));
}

function parseFrequencies(text: string): number[] {
  const list = parseNumbers(text);
  if (list.length <= MAX_FREQUENCIES && list.every((value) => value >= 0.4 && value <= 70)) return list;
  const limit = `0.4 to 70 GHz, at most ${MAX_FREQUENCIES}`;
  throw new InputError([{ pointer: "--frequency", detail: `must be GHz with commas between, got "${text}"`, limit }]);
}

/** @example parseWindow("90,-10,0") // 90 degrees of azimuth, elevations from -10 to 0 degrees */
function parseWindow(text: string): ServiceWindow {
  const list = parseNumbers(text);
  if (list.length !== 3 || list.some(Number.isNaN)) {
    throw new InputError([{ pointer: "--window", detail: `must be WIDTH,FROM,TO in degrees, got "${text}"` }]);
  }
  const [azimuthWidthDeg, elevationFromDeg, elevationToDeg] = list;
  return { azimuthWidthDeg, elevationFromDeg, elevationToDeg };
}

/**
 * Reads the antennas of the files and checks the window.
 * Throws InputError that points into /antenna, /against or /window where one is at fault, else names the file.
 */
async function readAntennas(
  files: string[],
  config: CliConfig,
  asked: { frequencyGhz: number; window: ServiceWindow | undefined },
): Promise<{ antennas: NamedAntenna[]; window: ServiceWindow | undefined }> {
  const [first, second] = await Promise.all(files.map((file) => readDescription(file, resolvePath(config, file))));
  const request = parseAntennaParameters({ version: 1, antenna: first, against: second, ...asked });
  const antennas = [request.antenna, ...(request.against ? [request.against] : [])].map((spec, index) => ({
    name: basename(files[index]),
    description: toDescription(spec),
    pointer: files[index],
  }));
  return { antennas, window: request.window };
}

/** Reads .json as a description with or without an id, .csv as columns, any other file as pattern-exchange text. */
async function readDescription(file: string, path: string): Promise<unknown> {
  const form = extname(path).toLowerCase();
  if (form === ".json") {
    const described = await readJson(path);
    return typeof described === "object" && described !== null ? { id: "antenna", ...described } : described;
  }
  const text = await readText(path);
  if (form !== ".csv") return { id: "antenna", kind: "exchange", text };
  return { id: "antenna", kind: "csv", text, gainDbi: readCsvPeakDbi(text, file) };
}
