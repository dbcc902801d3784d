import { findNearestName } from "@fellmark/network";
import { InputError } from "@fellmark/units";
import type { Command, CommanderError } from "commander";

/** Converts a refusal of the argument library into an InputError that points to the option or argument at fault. */
export function toUsageError(error: CommanderError, program: Command, words: readonly string[]): InputError {
  const command = findNamedCommand(program, words);
  if (error.code === "commander.help") return createMissingCommand(command);
  const [, name = ""] = /'([^' ]+)/.exec(error.message) ?? [];
  const detail = wordUsageDetail(error, command, name);
  const hint = `see: ${buildFullName(command)} --help`;
  const isOption = name.startsWith("-");
  return new InputError([{ pointer: isOption ? name : "", detail: `${detail}; ${hint}` }]);
}

function wordUsageDetail({ code, message }: CommanderError, command: Command, name: string): string {
  switch (code) {
    case "commander.optionMissingArgument":
      return `${name} has no value: ${describeOption(command, name)}`;
    case "commander.missingArgument":
      return `${name} is missing: ${command.registeredArguments.find((one) => one.name() === name)?.description ?? ""}`;
    case "commander.unknownOption":
      return `unknown option ${name}${findSuggestion(message)}`;
    default:
      return message
        .replace(/^error: /, "")
        .replaceAll("'", '"')
        .replace(/\.$/, "");
  }
}

function findSuggestion(message: string): string {
  const [, names] = /\(Did you mean (?:one of )?(.*)\?\)/.exec(message) ?? [];
  return names === undefined ? "" : `; did you mean ${names}?`;
}

function describeOption(command: Command, name: string): string {
  return command.options.find(({ long }) => long === name)?.description ?? "";
}

/** A group of commands was named without one of them, or nothing at all. */
function createMissingCommand(command: Command): InputError {
  const detail = `a command is missing; there are: ${command.commands.map((child) => child.name()).join(", ")}; see: ${buildFullName(command)} --help`;
  return new InputError([{ pointer: "", detail }]);
}

/** Throws InputError for a leading word that is not a command, with the nearest name. */
export function refuseUnknownCommand(program: Command, words: readonly string[]): void {
  const named = findNamedCommand(program, words);
  const depth = buildFullName(named).split(" ").length - 1;
  const name = words.filter((word) => !word.startsWith("-"))[depth];
  if (name === undefined || named.commands.length === 0) return;
  const names = named.commands.map((command) => command.name());
  const nearest = findNearestName(name, names);
  const hint = nearest === undefined ? `there are: ${names.join(", ")}` : `did you mean "${nearest}"?`;
  throw new InputError([{ pointer: "", detail: `unknown command "${name}"; ${hint}` }]);
}

/** Returns the command that the leading words name, as far as they do. */
export function findNamedCommand(program: Command, words: readonly string[]): Command {
  let named = program;
  for (const word of words.filter((each) => !each.startsWith("-"))) {
    const child = named.commands.find((command) => command.name() === word);
    if (!child) break;
    named = child;
  }
  return named;
}

function buildFullName(command: Command): string {
  return command.parent ? `${buildFullName(command.parent)} ${command.name()}` : command.name();
}
