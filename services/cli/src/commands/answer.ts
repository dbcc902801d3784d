import { writeFile } from "node:fs/promises";
import { type Answer, answerAtMount, chooseMount, type PlaceQuestion } from "@fellmark/answers";
import type { AnswerTask, Compute } from "@fellmark/compute";
import { type Finding, requestFindings } from "@fellmark/network";
import { InputError } from "@fellmark/units";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import {
  createCompassOption,
  createHeightOption,
  createJsonOption,
  createPlaceOption,
  createTerrainOption,
  createTextOption,
  createUnitsOption,
  requireValue,
  TERRAIN_DIR,
} from "../input/options.ts";
import { readJson, readRequest, requireTerrain } from "../input/request-file.ts";
import { findRequestSlips } from "../input/request-slips.ts";
import { parseSurveyedProfile } from "../input/surveyed-profile.ts";
import { formatAnswer } from "../output/answer-text.ts";
import { printText } from "../output/print.ts";
import { formatSlip } from "../output/slip-text.ts";
import type { Units } from "../output/units.ts";

const LIMITS = { deadlineMs: 60_000 };

/** Picture formats; each is an option that names a file. */
const PICTURES = ["svg", "png"] as const;

interface AnswerOptions {
  at?: { lon: number; lat: number };
  terrain?: string;
  profile?: string;
  height?: number;
  plan?: string;
  compass?: string;
  json?: string;
  svg?: string;
  png?: string;
  units?: Units;
}

const EXAMPLE = `
Example:
  fellmark answer request.json --at=-118.4642,-32.5339 --terrain terrain --json answer.json --png path.png`;

/** Adds `answer`: one place, over terrain or at the end of a surveyed profile. */
export function addAnswerCommand(program: Command, context: CommandContext): void {
  program
    .command("answer")
    .description("Tell whether one place can be served, with which plan, why, and from which height")
    .argument("<REQUEST.json>", "file with the coverage request")
    .addOption(createPlaceOption("--at <LON,LAT>", "the place, such as --at=-118.4,-32.5 (not needed with --profile)"))
    .addOption(createTerrainOption())
    .addOption(createTextOption("--profile <FILE>", "surveyed profile from the mast, JSON, in place of --terrain"))
    .addOption(createHeightOption(0.5, 500))
    .addOption(createTextOption("--plan <ID>", "plan that the verdict is about (default: the cheapest)"))
    .addOption(createCompassOption())
    .addOption(createJsonOption("write the whole answer to a file"))
    .addOption(createTextOption("--svg <FILE>", "draw the path to the strongest sector as SVG"))
    .addOption(createTextOption("--png <FILE>", "draw the path to the strongest sector as PNG"))
    .addOption(createUnitsOption())
    .addHelpText("after", EXAMPLE)
    .action((file: string, options: AnswerOptions) => runAnswer(file, options, context));
}

async function runAnswer(file: string, options: AnswerOptions, context: CommandContext): Promise<void> {
  const { config, compute } = context;
  const request = await readRequest(resolvePath(config, file));
  const question = toQuestion(options);
  const task = { request, question, ...(await findPlace(options, context)) };
  const slips = await findSlips(task, compute);
  context.reportSlips(slips);
  const { answer, mounted } = await askInStages(task, question, context);
  if (options.json !== undefined) {
    await writeFile(resolvePath(config, options.json), `${JSON.stringify(addSlips(answer, slips), null, 1)}\n`);
  }
  await drawProfile(answer, options, context);
  printText(
    formatAnswer(
      { answer, mounted, mount: chooseMount(mounted, options.compass), plans: request.plans },
      options.units,
    ),
  );
}

/** Asks for the answer, and for that at the mount, with a bar on a terminal. */
async function askInStages(task: AnswerTask, question: PlaceQuestion, { compute, startProgress }: CommandContext) {
  const bar = startProgress("answer", { onTerminalOnly: true });
  try {
    bar.update(0.1, "path and interference");
    const answer = await compute.answer(task, LIMITS);
    bar.update(0.7, "mount");
    const mounted = await answerAtMount(answer, (heightAglM) =>
      compute.answer({ ...task, question: { ...question, heightAglM } }, LIMITS),
    );
    bar.update(1, "done");
    return { answer, mounted };
  } finally {
    bar.stop();
  }
}

function toQuestion({ height, plan, svg, png }: AnswerOptions): PlaceQuestion {
  return {
    ...(height !== undefined && { heightAglM: height }),
    ...(plan !== undefined && { plan }),
    withProfile: svg !== undefined || png !== undefined,
  };
}

/** Slips of the request; with a surveyed profile those that need no terrain. */
async function findSlips({ request, terrainDir }: AnswerTask, compute: Compute): Promise<Finding[]> {
  return terrainDir === undefined ? requestFindings(request) : findRequestSlips({ request }, terrainDir, compute);
}

/** Puts slips before the warnings of an answer. Hints are left to those. */
function addSlips(answer: Answer, findings: readonly Finding[]): Answer {
  const slips = findings.filter(({ severity }) => severity !== "hint");
  const warnings = slips.map((slip) => ({ code: slip.code, pointer: slip.pointer, detail: formatSlip(slip) }));
  return { ...answer, warnings: [...warnings, ...answer.warnings] };
}

/** The place on terrain, or at the end of a surveyed profile. */
async function findPlace(
  { at, terrain, profile }: AnswerOptions,
  { config, compute }: CommandContext,
): Promise<Pick<AnswerTask, "at" | "terrainDir" | "profile">> {
  if (profile !== undefined) {
    return { at: at ?? null, profile: parseSurveyedProfile(await readJson(resolvePath(config, profile))) };
  }
  const place = requireValue(at, "--at", "the place, LON,LAT in degrees");
  const terrainDir = resolvePath(config, requireValue(terrain, "--terrain", TERRAIN_DIR));
  requireTerrain(await compute.terrainState(terrainDir, LIMITS), terrainDir);
  return { at: place, terrainDir };
}

/** Draws the path to the strongest sector into the files asked for. Throws InputError where there is none. */
async function drawProfile(
  { profile, reason }: Answer,
  options: AnswerOptions,
  { config, compute }: CommandContext,
): Promise<void> {
  for (const format of PICTURES) {
    const file = options[format];
    if (file === undefined) continue;
    if (!profile) throw new InputError([{ pointer: `--${format}`, detail: `there is no path to draw: ${reason}` }]);
    await writeFile(resolvePath(config, file), await compute.draw({ profile, format }, LIMITS));
  }
}
