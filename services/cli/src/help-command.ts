import type { Command } from "commander";
import { findNamedCommand, refuseUnknownCommand } from "./input/usage-error.ts";

/** Adds `help [COMMAND...]`, which also takes commands of two words. */
export function addHelpCommand(program: Command): void {
  program.helpCommand(false);
  program
    .command("help")
    .description("Print the help of all commands, or of one")
    .argument("[COMMAND...]", "a command, such as: terrain check")
    .addHelpText("after", "\nExample:\n  fellmark help terrain check")
    .action((names: string[]) => {
      refuseUnknownCommand(program, names);
      findNamedCommand(program, names).outputHelp();
    });
}
