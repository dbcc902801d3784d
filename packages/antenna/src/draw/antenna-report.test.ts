import { describe, expect, test } from "vitest";
import { antennaReport } from "./antenna-report.ts";
import { measureTable } from "./measure-table.ts";

const horn = { kind: "horn", form: "conical", diameterM: 0.15, slantLengthM: 0.3 } as const;
const element = { kind: "tr38901" } as const;
const report = (name: string) =>
  antennaReport(
    [
      { name, description: horn, pointer: "/antenna" },
      { name: "element", description: element, pointer: "/against" },
    ],
    [5.2, 5.8],
  );

describe("a report of two antennas", () => {
  test("draws two curves in each of two plots, tells them apart by dash and words, and prints one table", () => {
    const { svg } = report("horn");
    expect(svg.match(/<path class="line"[^>]*d="M-?\d/g)).toHaveLength(6);
    expect(svg).toContain("horn (solid line)");
    expect(svg).toContain("element (dashed line)");
    expect(svg).toContain("20 dBi");
    expect(svg).toContain("main-beam efficiency, %");
    expect(svg).toContain("No beam efficiency of element: a reference shape");
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });

  test("escapes names and drops what XML cannot hold", () => {
    const { svg } = report(`<script>"a" & 'b'\u0000\u0007</script>`);
    expect(svg).toContain("&lt;script&gt;&quot;a&quot; &amp; &apos;b&apos;&lt;/script&gt;");
    expect(svg).not.toContain("<script");
  });

  test("keeps both ends of a name that is too long for its place", () => {
    const { svg } = report(`sector ${"x".repeat(200)} north.json`);
    expect(svg).toMatch(/>sector x{8}…x{3} north\.json<\/text>/);
    expect(svg).toMatch(/>sector x{33}…x{28} north\.json \(solid line\)<\/text>/);
  });

  test("has a row for every measure and a range where the band changes it", () => {
    const { antennas } = report("horn");
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
  expect(() => antennaReport([{ name: "a", description: described, pointer: "/against" }], [5.5])).toThrow(
    "/against/text: line 1: ",
  );
});
