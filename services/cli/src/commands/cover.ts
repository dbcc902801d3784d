import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { readRequest } from "../input/request-file.ts";
import { formatSummary } from "../output/summary-table.ts";
import { addJobCommand } from "./job-command.ts";

/** Adds `cover`: everything that a coverage job publishes. */
export function addCoverCommand(program: Command, context: CommandContext): void {
  addJobCommand(program, context, {
    name: "cover",
    description: "Compute the coverage map: the best plan of every place",
    title: "coverage",
    writes: "summary.json, tiers.geojson, map.png and rasters/NAME.tif",
    read: readRequest,
    coverage: (request) => ({ request, at: "" }),
    run: context.compute.cover,
    format: formatSummary,
  });
}
