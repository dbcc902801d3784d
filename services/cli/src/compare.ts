import type { Compute } from "@fellmark/compute";
import { parseComparisonRequest } from "@fellmark/network";
import { comparisonTable } from "./comparison-table.ts";
import type { CliConfig } from "./config.ts";
import { runJobCommand } from "./job-command.ts";
import { readJson } from "./request-file.ts";

/** `compare`: a coverage before and after changes. */
export function compare(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  return runJobCommand(words, config, compute, {
    title: "comparison",
    read: async (path) => parseComparisonRequest(await readJson(path)),
    run: compute.compare,
    text: comparisonTable,
  });
}
