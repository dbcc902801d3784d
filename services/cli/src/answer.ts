import { writeFile } from "node:fs/promises";
import type { Compute } from "@fellmark/compute";
import type { Answer, AnswerLink, SurveyedProfile } from "@fellmark/coverage";
import { InputError } from "@fellmark/units";
import { lonLat, parseWords, required } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { readJson, readRequest, requireTerrain } from "./request-file.ts";
import { columns } from "./summary-table.ts";

const DEADLINE_MS = 60_000;

/** `answer REQUEST.json --at=LON,LAT --terrain DIR [--json FILE]`, or `--profile FILE` in place of terrain. */
export async function answer(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const { values, positionals } = parseWords(words, ["at", "terrain", "profile", "json"]);
  const request = await readRequest(pathFrom(config, required(positionals[0], "REQUEST.json")));
  const at = values.at === undefined ? null : lonLat(values.at, "--at");
  const limits = { deadlineMs: DEADLINE_MS };
  let result: Answer;
  if (values.profile !== undefined) {
    const profile = surveyedProfile(await readJson(pathFrom(config, values.profile)));
    result = await compute.answer({ request, at, profile }, limits);
  } else {
    required(values.at, "--at");
    const terrainDir = pathFrom(config, required(values.terrain, "--terrain"));
    requireTerrain(await compute.terrainState(terrainDir, limits), terrainDir);
    result = await compute.answer({ request, at, terrainDir }, limits);
  }
  if (values.json !== undefined) {
    await writeFile(pathFrom(config, values.json), `${JSON.stringify(result, null, 1)}\n`);
  }
  process.stdout.write(`${answerText(result)}\n`);
}

/** The shape of a profile file; what its numbers must be is checked where it is used. */
function surveyedProfile(value: unknown): SurveyedProfile {
  const record = (typeof value === "object" && value !== null ? value : {}) as Record<string, unknown>;
  const known = ["distanceKm", "groundAmslM", "clutterHeightM"];
  const problems = Object.keys(record)
    .filter((key) => !known.includes(key))
    .map((key) => ({ pointer: `/profile/${key}`, detail: "unknown field" }));
  for (const key of known) {
    const list = record[key];
    if (key === "clutterHeightM" && list === undefined) continue;
    const isNumbers = Array.isArray(list) && list.every((item) => typeof item === "number" && Number.isFinite(item));
    if (!isNumbers) problems.push({ pointer: `/profile/${key}`, detail: "must be a list of numbers" });
  }
  if (problems.length > 0) throw new InputError(problems);
  return record as unknown as SurveyedProfile;
}

function answerText(result: Answer): string {
  const best = result.links[0];
  const lines = [
    `${result.verdict}: ${result.plan ? `plan ${result.plan}` : "no plan"} at ${result.heightAglM} m above ground`,
    result.reason,
  ];
  if (best) lines.push("", linkText(best), "", budgetTable(best));
  for (const other of result.links.slice(1)) lines.push("", linkText(other));
  return lines.join("\n");
}

function linkText(link: AnswerLink): string {
  const aim = link.azimuthDeg === null ? "" : `, aim the kit at ${link.azimuthDeg.toFixed(1)} degrees true`;
  const blocking = link.blocking
    ? `; blocked ${(link.blocking.distanceM / 1000).toFixed(2)} km from the mast by ${link.blocking.excessM.toFixed(1)} m`
    : "";
  const fresnel =
    link.fresnelClearance === null ? "" : `, ${(100 * link.fresnelClearance).toFixed(0)} % of the Fresnel zone`;
  return [
    `${link.sector}: ${(link.distanceM / 1000).toFixed(2)} km${aim}, ${link.elevationDeg.toFixed(2)} degrees up`,
    `  ${link.class}${fresnel}${blocking}`,
    `  ${link.downMbps.toFixed(1)} / ${link.upMbps.toFixed(1)} Mbit/s, SINR ${link.sinrDownDb.toFixed(1)} / ${link.sinrUpDb.toFixed(1)} dB`,
  ].join("\n");
}

function budgetTable(link: AnswerLink): string {
  // Adding 0 turns -0 into 0.
  const rows = link.down.map(({ term, db }, index) => [term, hundredths(db), hundredths(link.up[index].db)]);
  return columns([["dB", "down", "up"], ...rows]);
}

/** Two decimals, and never a zero with a minus. */
function hundredths(db: number): string {
  return (Math.round(db * 100) / 100 + 0).toFixed(2);
}
