import { createCompute } from "@fellmark/compute";
import type { Command } from "commander";
import { describe, expect, it, test } from "vitest";
import { createSilentProgress } from "./output/progress-bar.ts";
import { createProgram } from "./program.ts";
import { runCaptured } from "./testing/run-captured.ts";

const config = { callerDir: "/", isTerminal: false };
const program = createProgram({
  config,
  compute: createCompute(),
  startProgress: createSilentProgress,
  reportSlips: () => undefined,
});

/** Every command with the words that name it, groups included. */
function listCommands(command: Command, words: string[] = []): [string, Command][] {
  return command.commands.flatMap((child): [string, Command][] => {
    const name = [...words, child.name()];
    return [[name.join(" "), child], ...listCommands(child, name)];
  });
}

const COMMANDS = listCommands(program);

function run(...words: string[]) {
  return runCaptured(words, { callerDir: "/" });
}

async function runOnTerminal(...words: string[]) {
  return runCaptured(words, { callerDir: "/", isTerminal: true });
}

test("the commands that outside scripts call exist", () => {
  const names = COMMANDS.map(([name]) => name);
  for (const name of ["cover", "answer", "compare", "advise", "batch", "antenna", "terrain check", "demo", "island"]) {
    expect(names).toContain(name);
  }
});

describe.each(COMMANDS)("%s", (name, command) => {
  it("has the same help by --help, -h and help, with purpose and example", async () => {
    const help = await run("help", ...name.split(" "));
    expect(help).toMatchObject({ code: 0, stderr: "" });
    expect(help.stdout).toMatch(/^Usage: fellmark /);
    expect(help.stdout).toMatch(/\nExamples?:\n {2}fellmark /);
    if (name === "help") return;
    for (const flag of ["--help", "-h"]) expect(await run(...name.split(" "), flag)).toEqual(help);
  });

  it("describes itself and every option and argument", () => {
    for (const { description } of [...command.options, ...command.registeredArguments]) {
      expect(description).toMatch(/\S/);
    }
    expect(command.summary() || command.description()).toMatch(/^[A-Z][^.\n]{10,80}$/);
  });

  it("states a unit or kind for the value of every option, and that it is required or what counts without it", () => {
    for (const option of command.options.filter(({ flags }) => /<(N|M|EPSG|GHZ,\.\.\.)>$/.test(flags))) {
      const isStated = option.defaultValueDescription !== undefined || /default: |required/.test(option.description);
      expect([option.flags, isStated]).toEqual([option.flags, true]);
    }
  });
});

describe("fellmark", () => {
  it("lists all commands, exit codes and a first example", async () => {
    for (const words of [["--help"], ["-h"], ["help"]]) {
      const { code, stdout } = await run(...words);
      expect(code).toBe(0);
      for (const command of program.commands) expect(stdout).toMatch(new RegExp(`^ {2}${command.name()}\\b`, "m"));
      expect(stdout).toContain("Exit codes: 0 ok, 1 a check failed, 2 bad input, 3 terrain unusable");
      expect(stdout).toContain("fellmark cover island/request.json");
    }
  });

  it("prints the versions of program and model", async () => {
    expect(await run("--version")).toMatchObject({
      code: 0,
      stdout: expect.stringMatching(/^fellmark \d+\.\d+\.\d+, model \S+\n$/),
    });
  });

  it.each<[string, string]>([
    ["covr r.json", 'Error: unknown command "covr"; did you mean "cover"?\n'],
    ["terrain chek x", 'Error: unknown command "chek"; did you mean "check"?\n'],
    ["help preises", 'Error: unknown command "preises"; did you mean "premises"?\n'],
    ["predict r.json", 'Error: unknown command "predict"; there are: cover, answer, '],
    [
      "cover r.json --terain x",
      "Error: unknown option --terain; did you mean --terrain?; see: fellmark cover --help\n",
    ],
    ["cover r.json --terrain x", "Error: --out is missing: folder for the results; made if absent\n"],
    ["cover", "Error: REQUEST.json is missing: file with the request; see: fellmark cover --help\n"],
    ["cover r.json --terrain --out x", 'Error: --terrain has no value, "--out" follows it: folder with elevation'],
    ["cover r.json --out", "Error: --out has no value: folder for the results"],
    ["cover a b", 'Error: too many arguments for "cover". Expected 1 argument but got 2; see: fellmark cover --help\n'],
    ["cover r.json --threads 1.5", 'Error: --threads: must be a whole number, got "1.5" (allowed: 1 to 64)\n'],
    ["answer r.json --height tall", 'Error: --height: must be a number, got "tall" (allowed: 0.5 to 500 m)\n'],
    ["answer r.json --at=-32,-118", 'Error: --at: must be LON,LAT in degrees, got "-32,-118"; are longitude and lat'],
    ["terrain", "Error: a command is missing; there are: check; see: fellmark terrain --help\n"],
    ["cover none.json --terrain x --out y", "Error: /none.json cannot be read: not found: no such file\n"],
  ])("%s: a sentence on a terminal, exit code 2", async (words, start) => {
    const { code, stdout, stderr } = await runOnTerminal(...words.split(" "));
    expect([code, stdout, stderr.slice(0, start.length)]).toEqual([2, "", start]);
    expect(stderr).not.toContain("{");
  });

  it.each<[string, { words: string[]; isTerminal: boolean }]>([
    ["where stderr is not a terminal", { words: ["cover", "r.json"], isTerminal: false }],
    ["with --json-errors", { words: ["cover", "r.json", "--json-errors"], isTerminal: true }],
    ["with --json-errors before the command", { words: ["--json-errors", "cover", "r.json"], isTerminal: true }],
  ])("prints errors as a problem document %s", async (_when, { words, isTerminal }) => {
    const { code, stderr } = await runCaptured(words, { callerDir: "/", isTerminal });
    expect(code).toBe(2);
    expect(JSON.parse(stderr)).toMatchObject({
      ...{ type: "about:blank", title: "invalid input", code: "invalid_input" },
      errors: [{ pointer: "--terrain", detail: expect.stringMatching(/^--terrain is missing: /) }],
    });
  });
});
