import { createCompute } from "@fellmark/compute";
import { toErrorRecord } from "@fellmark/units";
import { CommanderError } from "commander";
import type { CliConfig } from "./config.ts";
import { refuseUnknownCommand, toUsageError } from "./input/usage-error.ts";
import { buildProblemDocument, findExitCode, wordError } from "./output/error-text.ts";
import { createSilentProgress, startProgressBar } from "./output/progress-bar.ts";
import { printSlips } from "./output/slip-text.ts";
import { createProgram, JSON_ERRORS } from "./program.ts";

/** Runs one command. Returns the exit code: 0 ok, 1 a check failed, 2 bad input, 3 terrain unusable, 130 stopped. */
export async function runCli(words: string[], config: CliConfig): Promise<number> {
  const asksForJson = words.includes(JSON_ERRORS);
  const startProgress = asksForJson ? createSilentProgress : startProgressBar;
  const compute = createCompute();
  const reportSlips = asksForJson ? () => undefined : printSlips;
  const program = createProgram({ config, compute, startProgress, reportSlips });
  try {
    refuseUnknownCommand(program, words);
    await program.parseAsync(words, { from: "user" });
    return 0;
  } catch (error) {
    if (error instanceof CommanderError && error.exitCode === 0) return 0;
    const record = toErrorRecord(error instanceof CommanderError ? toUsageError(error, program, words) : error);
    const isForPerson = config.isTerminal && !asksForJson;
    process.stderr.write(
      isForPerson ? wordError(record) : `${JSON.stringify(buildProblemDocument(record), null, 1)}\n`,
    );
    return findExitCode(record);
  } finally {
    await compute.close();
  }
}
