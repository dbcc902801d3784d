import { describe, expect, it } from "vitest";
import { computeNoiseDbm } from "../noise.ts";
import { buildCellularRates, computeCellularSnrDb } from "./cellular-rates.ts";
import { CELLULAR_TABLES, type CellularTable, computeEfficiency } from "./cellular-tables.ts";
import { buildRateThresholds } from "./net-rate.ts";
import { buildOwnRates, checkOwnTables, type OwnTable } from "./own-table.ts";
import { findCommonTable, listWidths } from "./rate-table.ts";
import { readOwnTables } from "./read-own-table.ts";
import { buildWifiRates } from "./wifi-rates.ts";

describe("tables of 3GPP", () => {
  // Efficiencies as printed: TS 36.213 tables 7.2.3-1 and -2, TS 38.214 tables 5.1.3.1-1 and -2.
  const printed: Record<CellularTable, number[]> = {
    "lte-64qam": [
      0.1523, 0.2344, 0.377, 0.6016, 0.877, 1.1758, 1.4766, 1.9141, 2.4063, 2.7305, 3.3223, 3.9023, 4.5234, 5.1152,
      5.5547,
    ],
    "lte-256qam": [
      0.1523, 0.377, 0.877, 1.4766, 1.9141, 2.4063, 2.7305, 3.3223, 3.9023, 4.5234, 5.1152, 5.5547, 6.2266, 6.9141,
      7.4063,
    ],
    "nr-64qam": [
      0.2344, 0.3066, 0.377, 0.4902, 0.6016, 0.7402, 0.877, 1.0273, 1.1758, 1.3262, 1.3281, 1.4766, 1.6953, 1.9141,
      2.1602, 2.4063, 2.5703, 2.5664, 2.7305, 3.0293, 3.3223, 3.6094, 3.9023, 4.2129, 4.5234, 4.8164, 5.1152, 5.332,
      5.5547,
    ],
    "nr-256qam": [
      0.2344, 0.377, 0.6016, 0.877, 1.1758, 1.4766, 1.6953, 1.9141, 2.1602, 2.4063, 2.5703, 2.7305, 3.0293, 3.3223,
      3.6094, 3.9023, 4.2129, 4.5234, 4.8164, 5.1152, 5.332, 5.5547, 5.8906, 6.2266, 6.5703, 6.9141, 7.1602, 7.4063,
    ],
  };

  it.each(Object.keys(printed) as CellularTable[])("%s has the printed efficiencies", (table) => {
    const efficiencies = CELLULAR_TABLES[table].map(computeEfficiency);
    expect(efficiencies).toHaveLength(printed[table].length);
    efficiencies.forEach((efficiency, index) => {
      expect(Math.abs(efficiency - printed[table][index])).toBeLessThan(5.1e-5);
    });
  });

  it("needs the ratios of the attenuated Shannon law (TR 36.942 annex A: 4.4 bit/s/Hz at 22 dB)", () => {
    expect(computeCellularSnrDb(4.4)).toBeCloseTo(22.05, 2);
    expect(computeCellularSnrDb(5.5547)).toBeCloseTo(27.862, 3);
  });

  it("has the rates of its carriers, worked out by hand", () => {
    // 51 blocks x 12 carriers x 28,000 symbols/s x 5.5547 bits x 2 layers = 190.4 Mbit/s.
    expect(buildCellularRates("nr-64qam", 20, 2).at(-1)?.phyMbps).toBeCloseTo(190.37, 2);
    // 100 blocks x 12 x 14,000 x 5.5547 x 2 = 186.6 Mbit/s.
    expect(buildCellularRates("lte-64qam", 20, 2).at(-1)?.phyMbps).toBeCloseTo(186.64, 2);
    expect(() => buildCellularRates("lte-64qam", 80, 2)).toThrow("lte-64qam has no channel of 80 MHz");
  });

  it("gives rising thresholds without implementation loss, and omits the step that needs more for no more", () => {
    const radio = {
      table: "nr-64qam",
      widthMhz: 20,
      streams: 1,
      implementationDb: 2,
      share: 1,
      macEfficiency: 1,
    } as const;
    const { sinrDb, netMbps } = buildRateThresholds(radio);
    expect(sinrDb).toHaveLength(28);
    expect(sinrDb.at(-1)).toBeCloseTo(27.862, 2);
    for (let i = 1; i < sinrDb.length; i++) {
      expect(sinrDb[i]).toBeGreaterThan(sinrDb[i - 1]);
      expect(netMbps[i]).toBeGreaterThan(netMbps[i - 1]);
    }
  });
});

describe("widths and guard intervals of 802.11", () => {
  const fastest = (widthMhz: number, guardIntervalUs = 0.8) =>
    buildWifiRates("802.11ax", { widthMhz, streams: 2, guardIntervalUs }).at(-1)?.phyMbps ?? 0;

  it("slows the clock for 5, 10, 30 and 60 MHz", () => {
    expect(listWidths("802.11ax")).toEqual([5, 10, 20, 30, 40, 60, 80, 160]);
    expect(fastest(5)).toBeCloseTo(fastest(20) / 4, 9);
    expect(fastest(10)).toBeCloseTo(fastest(20) / 2, 9);
    expect(fastest(30)).toBeCloseTo(0.75 * fastest(40), 9);
    expect(fastest(60)).toBeCloseTo(0.75 * fastest(80), 9);
  });

  // IEEE Std 802.11ax-2021, table 27-79 and on (20 MHz, 2 streams, index 11): 286.8, 270.8, 243.75 Mbit/s.
  it.each([
    { guardIntervalUs: 0.8, rateMbps: 286.8 },
    { guardIntervalUs: 1.6, rateMbps: 270.8 },
    { guardIntervalUs: 3.2, rateMbps: 243.75 },
  ])("gives $rateMbps Mbit/s with $guardIntervalUs us", ({ guardIntervalUs, rateMbps }) => {
    expect(fastest(20, guardIntervalUs)).toBeCloseTo(rateMbps, 1);
  });
});

describe("a radio's own table", () => {
  const table: OwnTable = {
    widthMhz: 20,
    streams: 2,
    steps: [
      { sensitivityDbm: -92, rateMbps: 13 },
      { sensitivityDbm: -70, rateMbps: 130 },
    ],
  };

  it("becomes ratios over the radio's noise and rates by streams", () => {
    const rows = buildOwnRates([table], { widthMhz: 20, streams: 1, noiseFigureDb: 6 });
    expect(computeNoiseDbm(20, 6)).toBeCloseTo(-94.965, 3);
    expect(rows.map(({ snrDb }) => snrDb)).toEqual([expect.closeTo(2.965, 3), expect.closeTo(24.965, 3)]);
    expect(rows.map(({ phyMbps }) => phyMbps)).toEqual([6.5, 65]);
  });

  it("multiplies bits per symbol by the symbol rate and the streams", () => {
    const steps = [
      { sinrDb: 10, bitsPerSymbol: 2 },
      { sinrDb: 20, bitsPerSymbol: 6 },
    ];
    const rows = buildOwnRates([{ widthMhz: 30, streams: 1, symbolsPerUs: 25, steps }], {
      widthMhz: 30,
      streams: 2,
      noiseFigureDb: 6,
    });
    expect(rows.map(({ phyMbps }) => phyMbps)).toEqual([100, 300]);
  });

  it.each([
    {
      fault: "falls",
      steps: [
        { sinrDb: 5, rateMbps: 10 },
        { sinrDb: 8, rateMbps: 9 },
      ],
      says: "/1 has a rate of 9 after 10",
    },
    {
      fault: "repeats a rate",
      steps: [
        { sinrDb: 5, rateMbps: 10 },
        { sinrDb: 8, rateMbps: 10 },
      ],
      says: "/1 has the same rate",
    },
    {
      fault: "repeats a level",
      steps: [
        { sinrDb: 5, rateMbps: 10 },
        { sinrDb: 5, rateMbps: 20 },
      ],
      says: "/1 has the same level",
    },
    {
      fault: "falls in level",
      steps: [
        { sinrDb: 5, rateMbps: 10 },
        { sinrDb: 4, rateMbps: 20 },
      ],
      says: "/1 has a level of 4 after 5",
    },
    { fault: "has no step", steps: [], says: "/0/steps has no step" },
    { fault: "states no need", steps: [{ rateMbps: 10 }], says: "must have either sinrDb or sensitivityDbm" },
    {
      fault: "states two rates",
      steps: [{ sinrDb: 5, rateMbps: 10, bitsPerSymbol: 2 }],
      says: "must have either rateMbps",
    },
    {
      fault: "mixes needs",
      steps: [
        { sinrDb: 5, rateMbps: 10 },
        { sensitivityDbm: -60, rateMbps: 20 },
      ],
      says: "the same need",
    },
    { fault: "lacks a symbol rate", steps: [{ sinrDb: 5, bitsPerSymbol: 2 }], says: "symbolsPerUs is missing" },
  ])("is refused where it $fault", ({ steps, says }) => {
    expect(() => checkOwnTables([{ widthMhz: 20, streams: 1, steps }], "/radios/0/ownTables")).toThrow(says);
  });

  it("is refused where a width occurs twice", () => {
    expect(() => checkOwnTables([table, table], "/t")).toThrow("/t/1/widthMhz: occurs twice: 20 MHz");
  });

  it("is read from CSV, in any order of columns, by width", () => {
    const text = "\uFEFFrateMbps,widthMhz,sensitivityDbm,streams\r\n6.5,20,-93,2\r\n13,20,-90,2\r\n13,40,-90,2\r\n";
    expect(readOwnTables(text)).toEqual([
      {
        widthMhz: 20,
        streams: 2,
        steps: [
          { rateMbps: 6.5, sensitivityDbm: -93 },
          { rateMbps: 13, sensitivityDbm: -90 },
        ],
      },
      { widthMhz: 40, streams: 2, steps: [{ rateMbps: 13, sensitivityDbm: -90 }] },
    ]);
  });

  it.each([
    ["an unknown column", "widthMhz,snr\n20,5", '/text: line 1: unknown column "snr"'],
    ["no width", "sinrDb,rateMbps\n5,10", "line 1: the column widthMhz is missing"],
    ["a word", "widthMhz,sinrDb,rateMbps\n20,five,10", 'line 2: sinrDb is "five"'],
    ["a short line", "widthMhz,sinrDb,rateMbps\n20,5", "line 2: 2 cells under 3 columns"],
    ["only a header", "widthMhz,sinrDb,rateMbps\n", "line 1: the table has no step"],
    ["a falling rate", "widthMhz,sinrDb,rateMbps\n20,5,10\n20,8,9", "/text/0/steps/1 has a rate of 9 after 10"],
  ])("is refused with %s", (_, text, says) => {
    expect(() => readOwnTables(text, "/text")).toThrow(says);
  });
});

it("finds the older table of one family, none across families", () => {
  expect(findCommonTable("802.11ax", "802.11ac")).toBe("802.11ac");
  expect(findCommonTable("nr-256qam", "nr-64qam")).toBe("nr-64qam");
  expect(findCommonTable("own", "own")).toBe("own");
  expect(findCommonTable("own", "802.11ax")).toBeNull();
  expect(findCommonTable("lte-64qam", "nr-64qam")).toBeNull();
});
