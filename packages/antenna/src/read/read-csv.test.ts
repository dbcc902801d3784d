import { InputError } from "@fellmark/units";
import { expect, test } from "vitest";
import { createAntennaPattern } from "../antenna-pattern.ts";
import { readCsv } from "./read-csv.ts";

const HEADER = "cut,angleDeg,gainDbi,polarisation";

/** A beam of about 60 by 60 degrees, as rows of a polarisation. */
function rows(polarisation: string, { gainDbi = 9, stepDeg = 5 } = {}): string[] {
  const level = (angleDeg: number) => (gainDbi - Math.min(12 * (angleDeg / 60) ** 2, 25)).toFixed(2);
  const cut = (name: string, fromDeg: number, toDeg: number) =>
    Array.from({ length: Math.round((toDeg - fromDeg) / stepDeg) + 1 }, (_, step) => {
      const angleDeg = fromDeg + step * stepDeg;
      return `${name},${angleDeg},${level(angleDeg)},${polarisation}`;
    });
  return [...cut("horizontal", -180, 180 - stepDeg), ...cut("vertical", -90, 90)];
}

function fileOf(lines: readonly string[]): string {
  return `${[HEADER, ...lines].join("\n")}\n`;
}

/** Puts a line in place of the one numbered from 1. */
function withLine(line: number, text: string | null): string {
  const lines = fileOf(rows("V")).split("\n");
  lines.splice(line - 1, 1, ...(text === null ? [] : [text]));
  return lines.join("\n");
}

test("one polarisation: its levels are those of the rows, and the other is taken to be like it", () => {
  const { pattern, warnings } = readCsv(fileOf(rows("V")), 9);
  expect(pattern.peakGainDbi).toBe(9);
  expect(pattern.gainDbi(0, 0, 1)).toBe(9);
  expect(pattern.gainDbi(30, 0, 1)).toBeCloseTo(6, 2);
  expect(pattern.gainDbi(0, -30, 0)).toBeCloseTo(6, 2);
  expect(pattern.crossGainDbi).toBeUndefined();
  expect(warnings.map(({ code }) => code)).toEqual(["one_polarisation"]);
});

test("both polarisations with their cross-polar cuts, in lines that end with CR LF", () => {
  const cross = [...rows("+45-cross", { gainDbi: -20 }), ...rows("-45-cross", { gainDbi: -22 })];
  const text = fileOf([...rows("+45"), ...rows("-45", { gainDbi: 8.8 }), ...cross]).replaceAll("\n", "\r\n");
  const { pattern, warnings } = readCsv(text, 9);
  expect([pattern.gainDbi(0, 0, 0), pattern.gainDbi(0, 0, 1)].map((gain) => gain.toFixed(2))).toEqual(["9.00", "8.80"]);
  expect(pattern.crossGainDbi?.(0, 0, 0)).toBeCloseTo(-20, 6);
  expect(pattern.crossGainDbi?.(30, 0, 1)).toBeCloseTo(-25, 6);
  expect(pattern.crossGainDbi?.(0, -30, 1)).toBeCloseTo(-25, 6);
  expect(warnings).toEqual([]);
});

test("the description of kind csv is the same pattern", () => {
  const text = fileOf(rows("V"));
  expect(createAntennaPattern({ kind: "csv", text, gainDbi: 9 }, 5.5).gainDbi(12, 3, 1)).toBe(
    readCsv(text, 9).pattern.gainDbi(12, 3, 1),
  );
});

test.each([
  ["a header without its units", "cut,angleDeg,gain,polarisation\nH,0,1,V", 1, "give the gain in dBi"],
  ["a gain in dBd", "cut,angleDeg,gainDbd,polarisation\nH,0,1,V", 1, "give the gain in dBi"],
  ["a column twice", "cut,cut,gainDbi,polarisation\nH,0,1,V", 1, "occurs 2 times"],
  ["no rows", `${HEADER}\n`, 1, "no co-polar row"],
  ["an empty text", "", 1, "there is no column"],
  ["NaN", withLine(5, "horizontal,-165,NaN,V"), 5, 'must be a number, got "NaN"'],
  ["an empty angle", withLine(5, "horizontal,,-5,V"), 5, 'must be a number, got ""'],
  ["Infinity", withLine(5, "horizontal,-165,Infinity,V"), 5, "must be a number"],
  ["a direction twice", withLine(5, "horizontal,-170,-16,V"), 5, "-170 occurs twice"],
  ["180 and -180", withLine(73, "horizontal,180,-16,V"), 73, "180 is the direction of -180 again"],
  ["angles that fall", withLine(5, "horizontal,-179,-16,V"), 5, "must rise"],
  ["a column too many", withLine(5, "horizontal,-165,-16,V,0"), 5, "4 columns are expected, got 5"],
  ["an unknown polarisation", withLine(5, "horizontal,-165,-16,RHCP"), 5, "the polarisation is H, V"],
  ["an unknown cut", withLine(5, "phi,-165,-16,V"), 5, "horizontal or vertical"],
  ["an unknown cut named as what every object has", withLine(5, "constructor,-165,-16,V"), 5, "horizontal or vertical"],
  ["half of a circle", fileOf(rows("V").filter((row) => !row.startsWith("horizontal,-"))), 37, "are missing"],
  [
    "a vertical cut that ends early",
    fileOf(rows("V").filter((row) => !/^vertical,[678]|^vertical,9/.test(row))),
    103,
    "not at 90",
  ],
  [
    "no vertical cut",
    fileOf(rows("V").filter((row) => row.startsWith("h"))),
    2,
    "vertical cut of this polarisation is missing",
  ],
  ["a gap", fileOf(rows("V").filter((row) => !/^vertical,(10|15),/.test(row))), 94, "a gap of 15 degrees"],
  ["a side lobe over the peak's gain", withLine(5, "horizontal,-165,12,V"), 5, "the greatest level is 12"],
])("refuses %s by line and reason", (_, text, line, reason) => {
  const read = () => readCsv(text, 9, "/antennas/0");
  expect(read).toThrow(InputError);
  expect(read).toThrow(new RegExp(`^/antennas/0/text: line ${line}: .*${reason.replace(/[-.+]/g, "\\$&")}`));
});

test("levels relative to the peak are not gains: the likely cause is named", () => {
  expect(() => readCsv(fileOf(rows("V", { gainDbi: 0 })), 9)).toThrow("are the levels relative to the peak?");
});

test("a gain that these widths cannot have is refused; one a little too high is warned of", () => {
  expect(() => readCsv(fileOf(rows("V", { gainDbi: 14 })), 14)).toThrow("60.1 x 60.1 degrees allow 10.58 dBi");
  const { warnings } = readCsv(fileOf(rows("V", { gainDbi: 10.3 })), 10.3);
  expect(warnings.map(({ code }) => code)).toContain("gain_over_directivity");
});

test("over 10,000 points a cut and over 1 MB of text are refused", () => {
  const many = Array.from({ length: 10_001 }, (_, row) => `H,${(row * 0.03).toFixed(2)},9,V`);
  expect(() => readCsv(fileOf(many), 9)).toThrow("line 10002: a cut has at most 10000 points");
  expect(() => readCsv("x".repeat(1_000_001), 9)).toThrow("at most 1000000");
});
