import { writeFile } from "node:fs/promises";
import type { AnsweringSource } from "@fellmark/compute";
import {
  DEFAULT_RADIUS_M,
  parseCoverageRequest,
  parseMeasuredRows,
  parseNetwork,
  toCanonicalNetwork,
} from "@fellmark/network";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import {
  createJsonOption,
  createRadiusOption,
  createTerrainOption,
  createTextOption,
  makeRequired,
} from "../input/options.ts";
import { isNetwork, readJson, requireTerrain } from "../input/request-file.ts";
import { formatCalibration } from "../output/calibration-text.ts";
import { printText } from "../output/print.ts";

/** Thousands of links are predicted one by one. */
const LIMITS = { deadlineMs: 3_600_000 };

interface CalibrateOptions {
  terrain: string;
  links?: string;
  radius?: number;
  json?: string;
}

const LINKS = "measured links, JSON (default: the subscribers of the network that have a measured level)";

/** Adds `calibrate`: a model fitted to the provider's own links. */
export function addCalibrateCommand(program: Command, context: CommandContext): void {
  program
    .command("calibrate")
    .summary("Fit the model to your own measured links")
    .description("Fit the model to your own measured links and tell whether that helps on links left out")
    .argument("<NETWORK.json>", "file with a network or a coverage request")
    .addOption(makeRequired(createTerrainOption()))
    .addOption(createTextOption("--links <FILE>", LINKS))
    .addOption(createRadiusOption())
    .addOption(createJsonOption("write the calibration to a file"))
    .addHelpText("after", "\nExample:\n  fellmark calibrate network.json --terrain terrain --json calibration.json")
    .action((file: string, options: CalibrateOptions) => runCalibrate(file, options, context));
}

async function runCalibrate(file: string, options: CalibrateOptions, context: CommandContext): Promise<void> {
  const { config, compute, startProgress } = context;
  const source = toSource(await readJson(resolvePath(config, file)), options.radius);
  const links = options.links && { rows: parseMeasuredRows(await readJson(resolvePath(config, options.links))) };
  const terrainDir = resolvePath(config, options.terrain);
  requireTerrain(await compute.terrainState(terrainDir, LIMITS), terrainDir);
  const bar = startProgress("calibration");
  const report = await compute
    .calibration({ source, terrainDir, nowMs: Date.now(), ...links }, { ...LIMITS, onProgress: bar.update })
    .finally(bar.stop);
  if (options.json !== undefined) {
    await writeFile(resolvePath(config, options.json), `${JSON.stringify(report, null, 1)}\n`);
  }
  printText(formatCalibration(report));
}

function toSource(document: unknown, radiusM = DEFAULT_RADIUS_M): AnsweringSource {
  if (!isNetwork(document)) return { request: parseCoverageRequest(document) };
  const network = toCanonicalNetwork(parseNetwork(document));
  return { network: { version: network.version, document: async () => network.document }, radiusM };
}
