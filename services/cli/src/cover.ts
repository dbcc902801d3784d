import type { Compute } from "@fellmark/compute";
import type { CliConfig } from "./config.ts";
import { runJobCommand } from "./job-command.ts";
import { readRequest } from "./request-file.ts";
import { summaryTable } from "./summary-table.ts";

/** `cover`: everything that a coverage job would publish. */
export function cover(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  return runJobCommand(words, config, compute, {
    title: "coverage",
    read: readRequest,
    run: compute.cover,
    text: summaryTable,
  });
}
