import { resolve } from "node:path";

/** Where the command was called from: paths on the command line are relative to it. */
export interface CliConfig {
  callerDir: string;
  isTerminal: boolean;
}

/** The only reader of the environment in this service. npm changes the folder and leaves the caller's in INIT_CWD. */
export function readConfig(): CliConfig {
  return { callerDir: process.env.INIT_CWD ?? process.cwd(), isTerminal: process.stderr.isTTY === true };
}

export function pathFrom(config: CliConfig, path: string): string {
  return resolve(config.callerDir, path);
}
