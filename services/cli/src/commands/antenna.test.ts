import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createCompute } from "@fellmark/compute";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, afterEach, expect, test, vi } from "vitest";
import { createSilentProgress } from "../output/progress-bar.ts";
import { createProgram } from "../program.ts";

const dir = createTempDir();
const compute = createCompute();
const config = { callerDir: dir.path, isTerminal: false };
const printed: string[] = [];
vi.spyOn(process.stdout, "write").mockImplementation((text) => printed.push(String(text)) > 0);
afterEach(() => {
  printed.length = 0;
});
afterAll(() => dir.remove());

const write = (name: string, text: string) => writeFileSync(join(dir.path, name), text);
const read = (name: string) => readFileSync(join(dir.path, name), "utf8");
const run = (...words: string[]) =>
  createProgram({ config, compute, startProgress: createSilentProgress, reportSlips: () => undefined }).parseAsync(
    ["antenna", ...words],
    { from: "user" },
  );

write("horn.json", JSON.stringify({ kind: "horn", form: "corrugated", diameterM: 0.15, slantLengthM: 0.3 }));
write("table.csv", csv());

/** A beam of 60 by 60 degrees, 9 dBi. */
function csv(): string {
  const row = (cut: string, angleDeg: number) =>
    `${cut},${angleDeg},${(9 - Math.min(12 * (angleDeg / 60) ** 2, 25)).toFixed(2)},V`;
  const around = Array.from({ length: 72 }, (_, index) => row("horizontal", 5 * index - 180));
  const above = Array.from({ length: 37 }, (_, index) => row("vertical", 5 * index - 90));
  return ["cut,angleDeg,gainDbi,polarisation", ...around, ...above].join("\n");
}

test("prints both antennas in one table, writes the picture and the measures", async () => {
  await run(
    "horn.json",
    "--against",
    "table.csv",
    "--frequency",
    "5.2,5.8",
    "--svg",
    "cuts.svg",
    "--json",
    "cuts.json",
  );
  const lines = printed.join("").split("\n");
  expect(lines[0]).toMatch(/horn\.json +table\.csv$/);
  expect(lines.find((line) => line.startsWith("gain, dBi"))).toMatch(/\d to \d.* 9\.00$/);
  expect(printed.join("")).toContain("! table.csv, line 2: one_polarisation: ");
  expect(read("cuts.svg")).toContain("table.csv (dashed line)");
  const { version, antennas } = JSON.parse(read("cuts.json"));
  expect([version, antennas.length, antennas[0].atFrequency.length]).toEqual([1, 2, 2]);
});

test("says which loss costs how much of the beam, of what is built from dimensions", async () => {
  await run("horn.json", "--against", "table.csv", "--frequency", "5.2", "--json", "losses.json");
  const text = printed.join("");
  expect(text).toMatch(/main-beam efficiency at 5\.2 GHz +gain, dBi +of the power radiated, % +of the power fed, %/);
  expect(text).toMatch(/the aperture alone.*\n.*other polarisation.*\n.*scatter by the mast.*\nall together/);
  expect(text, "common practice without a source stays out of results").not.toMatch(/90 to 99 %|practice/);
  const [horn, table] = JSON.parse(read("losses.json")).antennas;
  expect(horn.losses.rows[0]).toMatchObject({ counted: "aperture" });
  expect(horn.losses.rows.at(-1).mainLobe).toBeLessThan(horn.losses.rows[0].mainLobe);
  expect(table.losses).toBeNull();
});

test("counts the power in the window that is asked for", async () => {
  await run("horn.json", "--window", "360,-90,90");
  expect(printed.join("")).toMatch(/in the service window, % +100\.0/);
});

test.each([
  ["no file", [], "missing required argument 'FILE'"],
  ["a file that is not there", ["none.adf"], "cannot be read"],
  ["a frequency out of range", ["horn.json", "--frequency", "5.2,900"], "0.4 to 70"],
  ["a text that is no exchange text", ["table.adf"], "table.adf/text: line 1: the record REVNUM:, is expected"],
  ["a description with an unknown field", ["odd.json"], "/antenna/sizeM: unknown field"],
  ["a window of two numbers", ["horn.json", "--window", "90,5"], "must be WIDTH,FROM,TO"],
  ["a window upside down", ["horn.json", "--window", "90,5,-5"], "/window/elevationToDeg"],
  ["the second of two descriptions by its option", ["horn.json", "--against", "odd.json"], "/against/sizeM"],
])("refuses %s", async (_, words, reason) => {
  write("table.adf", csv());
  write("odd.json", JSON.stringify({ kind: "tr38901", sizeM: 1 }));
  const error = await run(...words).catch((thrown: unknown) => thrown);
  expect(JSON.stringify(error, ["message", "problems", "pointer", "detail", "limit"]) + String(error)).toContain(
    reason,
  );
});
