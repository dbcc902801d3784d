import { parseComparisonRequest } from "@fellmark/network";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { readJson } from "../input/request-file.ts";
import { formatComparison } from "../output/comparison-table.ts";
import { addJobCommand } from "./job-command.ts";

/** Adds `compare`: a coverage before and after changes. */
export function addCompareCommand(program: Command, context: CommandContext): void {
  addJobCommand(program, context, {
    name: "compare",
    description: "Compare a coverage before and after changes",
    title: "comparison",
    writes: "summary.json, change.geojson, before.png, after.png and change.png",
    read: async (path) => parseComparisonRequest(await readJson(path)),
    coverage: ({ base }) => ({ request: base, at: "/base" }),
    run: context.compute.compare,
    format: formatComparison,
  });
}
