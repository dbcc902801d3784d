import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { addPremisesImportCommand } from "./premises-import.ts";
import { addPremisesSearchCommand } from "./premises-search.ts";

/** Adds `premises import` and `premises search`. */
export function addPremisesCommands(program: Command, context: CommandContext): void {
  const premises = program
    .command("premises")
    .summary("Import or search the list of addresses: premises import, premises search")
    .description("Import or search the list of addresses")
    .addHelpText("after", "\nExample:\n  fellmark premises import addresses.csv");
  addPremisesImportCommand(premises, context);
  addPremisesSearchCommand(premises, context);
}
