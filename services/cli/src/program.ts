import { readFileSync } from "node:fs";
import { MODEL_VERSION } from "@fellmark/coverage";
import { Command } from "commander";
import type { CommandContext } from "./command-context.ts";
import { addAdviseCommand } from "./commands/advise.ts";
import { addAnswerCommand } from "./commands/answer.ts";
import { addAntennaCommand } from "./commands/antenna.ts";
import { addBatchCommand } from "./commands/batch.ts";
import { addCalibrateCommand } from "./commands/calibrate.ts";
import { addCompareCommand } from "./commands/compare.ts";
import { addCoverCommand } from "./commands/cover.ts";
import { addIslandCommand } from "./commands/island.ts";
import { addLedgerCommands } from "./commands/ledger.ts";
import { addPictureCommand } from "./commands/picture.ts";
import { addPremisesCommands } from "./commands/premises.ts";
import { addTerrainCommands } from "./commands/terrain.ts";
import { addDemoCommand } from "./demo/demo.ts";
import { addHelpCommand } from "./help-command.ts";
import { refuseMissingOptions } from "./input/options.ts";

export const JSON_ERRORS = "--json-errors";

const PURPOSE = "Predicts the coverage of a fixed-wireless network over real terrain. Needs no server.";

const NOTES = `
Start here:
  fellmark island island                       # writes a small example: terrain and requests
  fellmark cover island/request.json --terrain island/terrain --out result
  fellmark answer island/request.json --at=-118.4641667,-32.5338889 --terrain island/terrain

In the source folder, write "npm run fellmark --" in place of "fellmark".
"fellmark help COMMAND" lists the options of a command, with units and defaults, and an example.
Paths are relative to the folder you call from. Longitude stands before latitude.
Exit codes: 0 ok, 1 a check failed, 2 bad input, 3 terrain unusable, 130 stopped.`;

/** Builds the whole command line. Wrong words make parseAsync throw CommanderError; nothing ends the process. */
export function createProgram(context: CommandContext): Command {
  const program = new Command("fellmark")
    .description(PURPOSE)
    .usage("COMMAND [options]")
    .version(`fellmark ${readVersion()}, model ${MODEL_VERSION}`, "--version", "print the version of program and model")
    .option(JSON_ERRORS, "print errors as problem+json (RFC 9457), as where stderr is not a terminal; no progress")
    .helpOption("-h, --help", "print this help")
    .exitOverride()
    .configureOutput({ writeErr: () => undefined })
    .hook("preAction", (_program, command) => refuseMissingOptions(command))
    .addHelpText("after", NOTES);
  program.commandsGroup("Plan:");
  for (const add of [addCoverCommand, addAnswerCommand, addBatchCommand, addCompareCommand, addAdviseCommand]) {
    add(program, context);
  }
  program.commandsGroup("Prepare and check:");
  for (const add of [
    addTerrainCommands,
    addPremisesCommands,
    addAntennaCommand,
    addCalibrateCommand,
    addLedgerCommands,
  ]) {
    add(program, context);
  }
  program.commandsGroup("Try:");
  for (const add of [addDemoCommand, addIslandCommand, addPictureCommand]) add(program, context);
  addHelpCommand(program);
  return program;
}

function readVersion(): string {
  const manifest = JSON.parse(readFileSync(new URL("../package.json", import.meta.url), "utf8")) as { version: string };
  return manifest.version;
}
