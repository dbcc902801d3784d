import { resolve } from "node:path";

/** Surroundings of one call of the command line. */
export interface CliConfig {
  /** Folder the command was called from: paths on the command line are relative to it. */
  callerDir: string;
  /** True where stderr is a terminal: errors are then sentences, otherwise problem documents. */
  isTerminal: boolean;
}

/** The only reader of the environment in this service. npm changes the folder and leaves the caller's in INIT_CWD. */
export function readConfig(): CliConfig {
  return { callerDir: process.env.INIT_CWD ?? process.cwd(), isTerminal: process.stderr.isTTY === true };
}

export function resolvePath(config: CliConfig, path: string): string {
  return resolve(config.callerDir, path);
}
