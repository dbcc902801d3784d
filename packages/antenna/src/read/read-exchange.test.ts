import { readFileSync } from "node:fs";
import { join } from "node:path";
import { createSeededRandom, needsShared, sharedDir } from "@fellmark/testkit";
import { InputError } from "@fellmark/units";
import { describe, expect, test } from "vitest";
import { createAntennaPattern } from "../antenna-pattern.ts";
import { HEADER_RECORDS } from "./exchange-records.ts";
import { readExchange } from "./read-exchange.ts";
import { type WrittenCut, writeExchangeFile } from "./testing/exchange-file.ts";

/** 12 dB per 60 degrees squared, 25 dB at most: a beam of 60 by 60 degrees. */
const beam = (peakDeg: number) => (angleDeg: number) => -Math.min(12 * ((angleDeg - peakDeg) / 60) ** 2, 25);

function cuts(polarisation: string, downDeg = 0, belowDb = 0): WrittenCut[] {
  const lower = (level: (angleDeg: number) => number) => (angleDeg: number) => level(angleDeg) - belowDb;
  return [
    { name: "AZ", polarisation, fromDeg: -180, toDeg: 175, level: lower(beam(0)) },
    { name: "EL", polarisation, fromDeg: -90, toDeg: 90, level: lower(beam(-downDeg)) },
  ];
}

const plain = () => writeExchangeFile([{ mhz: 5500, cuts: cuts("V/V") }]);

describe.skipIf(!needsShared())("the synthetic sample (../shared/standards/nsma_synthetic_sample.adf)", () => {
  const text = () => readFileSync(join(sharedDir, "standards/nsma_synthetic_sample.adf"), "latin1");

  test("16 dBi, 90 by 8 degrees, 4 degrees down, as its records say", () => {
    const { pattern, warnings } = readExchange(text(), 5.5);
    expect(pattern.levels).toBe("actual");
    expect(pattern.gainDbi(0, -4, 1)).toBeCloseTo(16, 6);
    expect(pattern.gainDbi(45, -4, 1)).toBeCloseTo(13, 1);
    expect(pattern.gainDbi(0, -8, 1)).toBeCloseTo(13, 1);
    expect(new Set(warnings.map(({ code }) => code))).toEqual(new Set(["record_long", "one_polarisation"]));
  });

  test("lines that end with LF are the same pattern", () => {
    const unix = readExchange(text().replaceAll("\r\n", "\n"), 5.5).pattern;
    expect(unix.gainDbi(33, -2, 0)).toBe(readExchange(text(), 5.5).pattern.gainDbi(33, -2, 0));
  });

  test("its records and their lengths are those of nsma_fields.csv", () => {
    const rows = readFileSync(join(sharedDir, "standards/nsma_fields.csv"), "utf8").trim().split("\n").slice(1, 42);
    const known = rows.map((row) => {
      const [, tag] = row.split(",");
      return [tag, row.includes(",yes,"), Number(row.slice(row.lastIndexOf(",") + 1))];
    });
    expect(HEADER_RECORDS.map(({ tag, isRequired, longest }) => [tag, isRequired, longest])).toEqual(known);
  });
});

describe("an exchange text", () => {
  test("with a phase at its points reads the same", () => {
    const phased = plain().replace(/^(-?\d+\.\d+,-?\d+\.\d+),$/gm, "$1,12.5");
    expect(readExchange(phased, 5.5).pattern.gainDbi(20, 5, 1)).toBe(
      readExchange(plain(), 5.5).pattern.gainDbi(20, 5, 1),
    );
  });

  test("in dBd is 2.15 dB more in dBi", () => {
    const text = writeExchangeFile([{ mhz: 5500, cuts: cuts("V/V") }], { units: "DBD/DBR" }).replace(
      "MDGAIN:,9.0",
      "MDGAIN:,7.0",
    );
    expect(readExchange(text, 5.5).pattern.peakGainDbi).toBeCloseTo(9.15, 9);
  });

  test("with levels in dBi is relative to its gain", () => {
    const absolute = cuts("V/V", 0, -9);
    const { pattern } = readExchange(writeExchangeFile([{ mhz: 5500, cuts: absolute }], { units: "DBI/DBI" }), 5.5);
    expect(pattern.gainDbi(30, 0, 1)).toBeCloseTo(6, 2);
  });

  test("with several frequencies gives the nearest, and between low and middle gain the share", () => {
    const text = writeExchangeFile([
      { mhz: 5200, cuts: cuts("V/V", 10) },
      { mhz: 5800, cuts: cuts("V/V", 0) },
    ]).replace("MDGAIN", "LWGAIN:,8.0\nMDGAIN");
    expect(readExchange(text, 5.15).pattern.gainDbi(0, -10, 1)).toBeCloseTo(8, 6);
    expect(readExchange(text, 5.325).pattern.peakGainDbi).toBeCloseTo(8.5, 6);
    expect(readExchange(text, 5.8).pattern.gainDbi(0, 0, 1)).toBeCloseTo(9, 6);
    expect(readExchange(text, 6.2).warnings.map(({ code }) => code)).toContain("outside_band");
  });

  test("gives both ports and their cross-polar gain from pairs of POLARI", () => {
    const list = [...cuts("H/H"), ...cuts("V/V"), ...cuts("H/V", 0, 25), ...cuts("V/H", 0, 28)];
    const { pattern, warnings } = readExchange(writeExchangeFile([{ mhz: 5500, cuts: list }]), 5.5);
    expect(pattern.crossGainDbi?.(0, 0, 0)).toBeCloseTo(-16, 6);
    expect(pattern.crossGainDbi?.(0, 0, 1)).toBeCloseTo(-19, 6);
    expect(warnings).toEqual([]);
  });

  test("of an envelope may not enter interference, and its integral is not asked for", () => {
    const text = plain().replace("PATTYP:,typical", "PATTYP:,envelope");
    expect(createAntennaPattern({ kind: "exchange", text }, 5.5).levels).toBe("envelope");
  });

  test("whose vertical cut peaks above although the tilt is down is warned of, with the likely cause", () => {
    const { warnings } = readExchange(
      writeExchangeFile([{ mhz: 5500, cuts: cuts("V/V", -10) }], { tilt: "10.0,1.0" }),
      5.5,
    );
    const tilt = warnings.find(({ code }) => code === "tilt_differs");
    expect(tilt?.line).toBe(9);
    expect(tilt?.detail).toContain("positive down?");
  });
});

describe("refused by line and reason", () => {
  test.each<[string, (text: string) => string, number, string]>([
    ["no units", (text) => text.replace(/GUNITS.*\n/, ""), 7, "a gain may be dBi or dBd"],
    ["unknown units", (text) => text.replace("DBI/DBR", "DB/DBR"), 7, "is the gain dBi or dBd?"],
    ["a record out of order", (text) => text.replace(/(ANTMAN.*\n)(MODNUM.*\n)/, "$2$1"), 3, "ANTMAN:, is expected"],
    ["an unknown record", (text) => text.replace("MODNUM", "MODELN"), 4, "MODNUM:, is expected"],
    ["a record over 80 characters", (text) => text.replace("TEST", "T".repeat(80)), 4, "at most 80"],
    ["no band", (text) => text.replace("5850.000", "515.000"), 5, "are not a band"],
    [
      "a gap",
      (text) => text.replace(/^-10\.000.*\n-5\.000.*\n/m, "").replace("NUPOIN:,72", "NUPOIN:,70"),
      52,
      "gap of 15",
    ],
    ["NaN", (text) => text.replace("-100.000,-25.000,", "-100.000,NaN,"), 34, 'got "NaN"'],
    ["a direction twice", (text) => text.replace("-100.000,", "-105.000,"), 34, "occurs twice"],
    ["a level over the peak", (text) => text.replace("-100.000,-25.000", "-100.000,3.000"), 34, "3 dB above the peak"],
    ["fewer points than it says", (text) => text.replace("NUPOIN:,72", "NUPOIN:,73"), 90, "must be a number"],
    ["too many points", (text) => text.replace("NUPOIN:,72", "NUPOIN:,10001"), 16, "not 1 to 10000"],
    ["a count that is not a number", (text) => text.replace("NUMCUT:,2", "NUMCUT:,1e9"), 13, "not 1 to 100"],
    ["other ends than it says", (text) => text.replace("FSTLST:,-180.000", "FSTLST:,-179.000"), 17, "the points go"],
    ["an unknown cut", (text) => text.replace("PATCUT:,AZ", "PATCUT:,PHI"), 14, 'must be a number, got "PHI"'],
    ["a cut beyond the circle", (text) => text.replace("PATCUT:,AZ", "PATCUT:,400"), 14, "400, not -180 to 360"],
    [
      "a cut by angle beside one by name",
      (text) => text.replace("PATCUT:,AZ", "PATCUT:,45"),
      14,
      "the cut at line 90 a name",
    ],
    ["an unknown polarisation", (text) => text.replace("V/V", "V/SLR"), 15, "antenna/measured"],
    [
      "one plane twice",
      (text) => text.replace("PATCUT:,EL", "PATCUT:,V").replace("PATCUT:,AZ", "PATCUT:,EL"),
      90,
      "the same plane",
    ],
    ["an end that is cut off", (text) => text.replace("ENDFIL:,EOF\n", ""), 131, "the text ends"],
    ["text after its end", (text) => `${text}more\n`, 132, "after the end of the file"],
    ["a gain too high", (text) => text.replace("MDGAIN:,9.0", "MDGAIN:,14."), 8, "dB too high"],
  ])("%s", (_, spoil, line, reason) => {
    const read = () => readExchange(spoil(plain()), 5.5, "/antennas/2");
    expect(read).toThrow(InputError);
    expect(read).toThrow(`/antennas/2/text: line ${line}: `);
    expect(read).toThrow(reason);
  });
});

test("150 texts spoilt at random (seed 7) are read to finite gains or refused by line", () => {
  const random = createSeededRandom(7);
  const pick = (count: number) => Math.floor(random() * count);
  const words = [
    "NaN",
    ",",
    "",
    "-",
    "1e400",
    "9".repeat(90),
    "\u0000",
    "\n",
    "__proto__",
    "ENDFIL:,EOF",
    "-180.000,0,",
  ];
  for (let round = 0; round < 150; round++) {
    const lines = plain().split("\n");
    const at = pick(lines.length);
    const from = pick(lines[at].length + 1);
    lines[at] = lines[at].slice(0, from) + words[pick(words.length)] + lines[at].slice(from + pick(4));
    let outcome: unknown;
    try {
      outcome = readExchange(lines.join("\n"), 5.5).pattern.gainDbi(pick(360) - 180, pick(180) - 90, 1);
    } catch (error) {
      outcome = error;
    }
    if (typeof outcome === "number") expect(outcome).toBeGreaterThan(-300);
    else expect(String(outcome)).toMatch(/InputError: \/text: line \d+: /);
  }
});
