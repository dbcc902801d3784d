import { describe, expect, test } from "vitest";
import { buildAntennaReport } from "./antenna-report.ts";
import { measureTable } from "./measure-table.ts";

const horn = { kind: "horn", form: "conical", diameterM: 0.15, slantLengthM: 0.3 } as const;
const element = { kind: "tr38901" } as const;
const { antennas, drawing } = buildAntennaReport(
  [
    { name: "horn", description: horn, pointer: "/antenna" },
    { name: "element", description: element, pointer: "/against" },
  ],
  [5.2, 5.8],
);

describe("a report of two antennas", () => {
  test("draws both cuts of both antennas about their peaks, and says why one has no efficiency", () => {
    expect(drawing.names).toEqual(["horn", "element"]);
    expect(drawing.outerDbi).toBe(20);
    const [around, upright] = drawing.planes;
    for (const { curvesDbi } of [around, upright]) {
      const peaksDbi = curvesDbi.map((curve) => Math.max(...curve));
      // TR 38.901, table 7.3-1: the element has 8 dBi; a peak lies ahead, half way round the curve.
      expect(peaksDbi[1]).toBeCloseTo(8, 6);
      expect(curvesDbi[0][curvesDbi[0].length / 2]).toBe(peaksDbi[0]);
    }
    // Table 7.3-1: 65 degrees between half-power points, so 12 dB down at 65 degrees off.
    expect(around.curvesDbi[1][360 + 130]).toBeCloseTo(8 - 12, 6);
    expect(drawing.table[0]).toEqual(["both ports at 5.2 to 5.8 GHz", "horn", "element"]);
    expect(drawing.notes.join()).toContain("No beam efficiency of element: a reference shape");
  });

  test("has a row for every measure and a range where the band changes it", () => {
    const table = measureTable(antennas);
    expect(new Set(table.map((row) => row.length))).toEqual(new Set([3]));
    const row = (label: string) => table.find(([first]) => first === label);
    expect(row("gain, dBi")).toEqual(["gain, dBi", expect.stringMatching(/^\d+\.\d\d to \d+\.\d\d$/), "8.00"]);
    expect(row("main-beam efficiency, %")?.[2]).toBe("-");
    expect(antennas[0].atFrequency.map(({ frequencyGhz }) => frequencyGhz)).toEqual([5.2, 5.8]);
  });
});

test("what cannot be an antenna is refused below its pointer", () => {
  const described = { kind: "csv", text: "cut,angleDeg\n", gainDbi: 9 } as const;
  expect(() => buildAntennaReport([{ name: "a", description: described, pointer: "/against" }], [5.5])).toThrow(
    "/against/text: line 1: ",
  );
});
