import type { Compute } from "@fellmark/compute";
import type { Finding } from "@fellmark/network";
import type { CliConfig } from "./config.ts";
import type { ProgressBar } from "./output/progress-bar.ts";

/** Everything that a command works with besides its own arguments. */
export interface CommandContext {
  config: CliConfig;
  compute: Compute;
  /** Starts a progress bar on stderr; one that draws nothing with --json-errors. */
  startProgress: (title: string, options?: { onTerminalOnly?: boolean }) => ProgressBar;
  /** Prints slips in a request to stderr; nothing with --json-errors. */
  reportSlips: (findings: readonly Finding[]) => void;
}
