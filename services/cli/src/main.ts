import { readConfig } from "./config.ts";
import { runCli } from "./run-cli.ts";

/** A reader that has seen enough, such as `head`, closes the pipe: the rest of the text is dropped, the work goes on. */
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code !== "EPIPE") throw error;
});

process.exitCode = await runCli(process.argv.slice(2), readConfig());
