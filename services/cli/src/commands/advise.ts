import { parseAdviceRequest } from "@fellmark/network";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { readJson } from "../input/request-file.ts";
import { formatAdvice } from "../output/advice-text.ts";
import { addJobCommand } from "./job-command.ts";

/** Adds `advise`: channels ranked and chosen for the sectors of a network. */
export function addAdviseCommand(program: Command, context: CommandContext): void {
  addJobCommand(program, context, {
    name: "advise",
    description: "Rank channels for each sector and choose a channel plan",
    title: "advice",
    writes: "summary.json",
    read: async (path) => parseAdviceRequest(await readJson(path)),
    coverage: ({ base }) => ({ request: base, at: "/base" }),
    run: context.compute.advise,
    format: formatAdvice,
  });
}
