import { readFile, writeFile } from "node:fs/promises";
import { basename, extname } from "node:path";
import {
  type AntennaReport,
  antennaReport,
  csvPeakDbi,
  efficiencyRefusals,
  lossRows,
  measureTable,
  type NamedAntenna,
  type ServiceWindow,
  tradeText,
} from "@fellmark/antenna";
import { descriptionOf, parseAntennaParameters } from "@fellmark/network";
import { InputError } from "@fellmark/units";
import { parseWords, required } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { readJson } from "./request-file.ts";
import { columns } from "./summary-table.ts";

const DEFAULT_FREQUENCY = "5.5";
const MOST_FREQUENCIES = 10;

/**
 * `antenna FILE [--against FILE] [--frequency GHZ[,GHZ]] [--window WIDTH,FROM,TO] [--svg FILE] [--json FILE]`:
 * measures over the band, and for an antenna built from dimensions which loss costs how much of its beam.
 */
export async function antenna(words: string[], config: CliConfig): Promise<void> {
  const { values, positionals } = parseWords(words, ["against", "frequency", "window", "svg", "json"]);
  const files = [required(positionals[0], "FILE"), ...(values.against === undefined ? [] : [values.against])];
  const [frequencyGhz, ...more] = frequencies(values.frequency ?? DEFAULT_FREQUENCY);
  const { antennas, window } = await readAntennas(files, config, { frequencyGhz, window: windowOf(values.window) });
  const report = antennaReport(antennas, [frequencyGhz, ...more], window);
  if (values.svg !== undefined) await writeFile(pathFrom(config, values.svg), report.svg);
  if (values.json !== undefined) {
    const parameters = { version: 1, antennas: report.antennas };
    await writeFile(pathFrom(config, values.json), `${JSON.stringify(parameters, null, 1)}\n`);
  }
  process.stdout.write(`${reportText(report)}\n`);
}

/** NaN where a word is no number. */
function numbers(text: string): number[] {
  return text.split(",").map((word) => (word.trim() === "" ? Number.NaN : Number(word)));
}

function frequencies(text: string): number[] {
  const list = numbers(text);
  const fits = list.length <= MOST_FREQUENCIES && list.every((value) => value >= 0.4 && value <= 70);
  if (fits) return list;
  const limit = `0.4 to 70 GHz, at most ${MOST_FREQUENCIES}`;
  throw new InputError([{ pointer: "--frequency", detail: `must be GHz with commas between, got "${text}"`, limit }]);
}

/** Around, and elevations from ... to, in degrees: "90,-10,0". */
function windowOf(text: string | undefined) {
  if (text === undefined) return undefined;
  const list = numbers(text);
  if (list.length !== 3 || list.some(Number.isNaN)) {
    throw new InputError([{ pointer: "--window", detail: `must be WIDTH,FROM,TO in degrees, got "${text}"` }]);
  }
  const [azimuthWidthDeg, elevationFromDeg, elevationToDeg] = list;
  return { azimuthWidthDeg, elevationFromDeg, elevationToDeg };
}

/**
 * The antennas of the files, and the window checked.
 * Throws InputError that points into /antenna, /against or /window where one is at fault, else names the file.
 */
async function readAntennas(
  files: string[],
  config: CliConfig,
  asked: { frequencyGhz: number; window: ServiceWindow | undefined },
): Promise<{ antennas: NamedAntenna[]; window: ServiceWindow | undefined }> {
  const [first, second] = await Promise.all(files.map((file) => readDescription(file, pathFrom(config, file))));
  const request = parseAntennaParameters({ version: 1, antenna: first, against: second, ...asked });
  const antennas = [request.antenna, ...(request.against ? [request.against] : [])].map((spec, index) => ({
    name: basename(files[index]),
    description: descriptionOf(spec),
    pointer: files[index],
  }));
  return { antennas, window: request.window };
}

/** JSON is a description with or without an id; .csv our columns; anything else the pattern-exchange text. */
async function readDescription(file: string, path: string): Promise<unknown> {
  const form = extname(path).toLowerCase();
  if (form === ".json") {
    const described = await readJson(path);
    return typeof described === "object" && described !== null ? { id: "antenna", ...described } : described;
  }
  const text = await readText(path);
  if (form !== ".csv") return { id: "antenna", kind: "exchange", text };
  return { id: "antenna", kind: "csv", text, gainDbi: csvPeakDbi(text, file) };
}

async function readText(path: string): Promise<string> {
  return readFile(path, "utf8").catch((error: Error) => {
    throw new InputError([{ pointer: "", detail: `${path} cannot be read: ${error.message}` }]);
  });
}

function reportText({ antennas }: AntennaReport): string {
  const names = ["", ...antennas.map(({ name }) => name)];
  const warnings = antennas.flatMap(({ name, warnings }) =>
    warnings.map(({ code, line, detail }) => `! ${name}, line ${line}: ${code}: ${detail}`),
  );
  const refusals = antennas.flatMap((antenna) =>
    efficiencyRefusals(antenna).map((why) => `no beam efficiency of ${antenna.name}: ${why}`),
  );
  const losses = antennas.flatMap(({ name, losses: table }) =>
    table ? ["", name, columns(lossRows(table)), tradeText(table)] : [],
  );
  return [columns([names, ...measureTable(antennas)]), ...refusals, ...warnings, ...losses].join("\n");
}
