import { writeFile } from "node:fs/promises";
import { type Answer, mountedAnswer, mountOf, type PlaceQuestion, type SurveyedProfile } from "@fellmark/answers";
import type { AnswerTask, Compute } from "@fellmark/compute";
import { InputError } from "@fellmark/units";
import { answerText } from "./answer-text.ts";
import { lonLat, numberWithin, parseWords, required, type Words } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { readJson, readRequest, requireTerrain } from "./request-file.ts";

const LIMITS = { deadlineMs: 60_000 };

/** Files that an answer is written to, by option. */
const PICTURES = ["svg", "png"] as const;

/**
 * `answer REQUEST.json --at=LON,LAT --terrain DIR [--height M] [--plan ID] [--json FILE] [--svg FILE] [--png FILE]`,
 * or `--profile FILE` in place of terrain.
 */
export async function answer(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const options = ["at", "terrain", "profile", "height", "plan", "json", ...PICTURES];
  const { values, positionals } = parseWords(words, options);
  const request = await readRequest(pathFrom(config, required(positionals[0], "REQUEST.json")));
  const question = questionOf(values);
  const task = { request, question, ...(await placeOf(values, config, compute)) };
  const result = await compute.answer(task, LIMITS);
  const mounted = await mountedAnswer(result, (heightAglM) =>
    compute.answer({ ...task, question: { ...question, heightAglM } }, LIMITS),
  );
  if (values.json !== undefined) {
    await writeFile(pathFrom(config, values.json), `${JSON.stringify(result, null, 1)}\n`);
  }
  await drawProfile(result, values, config, compute);
  process.stdout.write(`${answerText(result, mountOf(mounted), request.plans)}\n`);
}

function questionOf({ height, plan, svg, png }: Words["values"]): PlaceQuestion {
  const heightAglM = numberWithin(height, "--height", 0.5, 500);
  return {
    ...(heightAglM !== undefined && { heightAglM }),
    ...(plan !== undefined && { plan }),
    withProfile: svg !== undefined || png !== undefined,
  };
}

/** Where the answer is asked for: on terrain, or at the end of a surveyed profile. */
async function placeOf(
  values: Words["values"],
  config: CliConfig,
  compute: Compute,
): Promise<Pick<AnswerTask, "at" | "terrainDir" | "profile">> {
  const at = values.at === undefined ? null : lonLat(values.at, "--at");
  if (values.profile !== undefined) {
    return { at, profile: surveyedProfile(await readJson(pathFrom(config, values.profile))) };
  }
  required(values.at, "--at");
  const terrainDir = pathFrom(config, required(values.terrain, "--terrain"));
  requireTerrain(await compute.terrainState(terrainDir, LIMITS), terrainDir);
  return { at, terrainDir };
}

/** Draws the way to the strongest sector into the files asked for. Throws InputError where there is none. */
async function drawProfile({ profile, reason }: Answer, values: Words["values"], config: CliConfig, compute: Compute) {
  for (const format of PICTURES) {
    const file = values[format];
    if (file === undefined) continue;
    if (!profile) throw new InputError([{ pointer: `--${format}`, detail: `there is no path to draw: ${reason}` }]);
    await writeFile(pathFrom(config, file), await compute.draw({ profile, format }, LIMITS));
  }
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
