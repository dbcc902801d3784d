import { writeFile } from "node:fs/promises";
import type { AnsweringSource, Compute } from "@fellmark/compute";
import {
  canonicalNetwork,
  DEFAULT_RADIUS_M,
  parseCoverageRequest,
  parseMeasuredRows,
  parseNetwork,
} from "@fellmark/network";
import { numberWithin, parseWords, required } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { calibrationText } from "./correction-text.ts";
import { isNetwork, readJson, requireTerrain } from "./request-file.ts";

/** Thousands of links are predicted one by one. */
const LIMITS = { deadlineMs: 3_600_000 };

/**
 * `correct NETWORK.json --terrain DIR [--links FILE] [--radius M] [--json FILE]`: what measured links teach of the model.
 * NETWORK.json is a network or a coverage request; without --links its subscribers of whom a level was measured count.
 */
export async function correct(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const { values, positionals } = parseWords(words, ["terrain", "links", "radius", "json"]);
  const document = await readJson(pathFrom(config, required(positionals[0], "NETWORK.json")));
  const source = sourceOf(document, numberWithin(values.radius, "--radius", 100, 60_000) ?? DEFAULT_RADIUS_M);
  const links = values.links && { rows: parseMeasuredRows(await readJson(pathFrom(config, values.links))) };
  const terrainDir = pathFrom(config, required(values.terrain, "--terrain"));
  requireTerrain(await compute.terrainState(terrainDir, LIMITS), terrainDir);
  const report = await compute.calibration({ source, terrainDir, nowMs: Date.now(), ...links }, LIMITS);
  if (values.json !== undefined) {
    await writeFile(pathFrom(config, values.json), `${JSON.stringify(report, null, 1)}\n`);
  }
  process.stdout.write(`${calibrationText(report)}\n`);
}

function sourceOf(document: unknown, radiusM: number): AnsweringSource {
  if (!isNetwork(document)) return { request: parseCoverageRequest(document) };
  const network = canonicalNetwork(parseNetwork(document));
  return { network: { version: network.version, document: async () => network.document }, radiusM };
}
