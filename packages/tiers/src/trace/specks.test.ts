import { computeCellAreaM2, type LatticeWindow } from "@fellmark/geodesy";
import { expect, it } from "vitest";
import { mergeSpecks } from "./specks.ts";

const PLAN_COUNT = 3;
const ROW0 = 380_000;

/** Merges regions of fewer than `cells` cells in a raster drawn by hand: "?" not known, " " outside, "." no service. */
function merged(cells: number, ...rows: string[]): string[] {
  const window: LatticeWindow = { zoom: 12, col0: 300_000, row0: ROW0, width: rows[0].length, height: rows.length };
  const codes: Record<string, number> = { ".": 0, "?": 254, " ": 255 };
  const classes = Uint8Array.from(rows.join(""), (code) => codes[code] ?? Number(code));
  const out = mergeSpecks(window, classes, PLAN_COUNT, (cells - 0.5) * computeCellAreaM2(ROW0, 12));
  const letters = Array.from(out, (tier) => ({ 0: ".", 254: "?", 255: " " })[tier] ?? String(tier));
  return rows.map((row, index) => letters.slice(index * row.length, (index + 1) * row.length).join(""));
}

it("merges a speck into the lower tier around it", () => {
  expect(merged(2, "2222", "2122", "2222")).toEqual(["2222", "2222", "2222"]);
});

it("never promotes: a speck among better plans stays, and so does one without service", () => {
  expect(merged(2, "1111", "1311", "11.1")).toEqual(["1111", "1311", "11.1"]);
});

it("chooses the lower tier with the longest border, the lowest of equals", () => {
  expect(merged(2, "2.2", "212", "222")[1]).toBe("222");
  expect(merged(2, "333", "313", "3.3")[1]).toBe("333");
  expect(merged(2, "222", "21.", "3..")[1]).toBe("2..");
});

it("merges nothing into cells not known or outside, nor those into anything", () => {
  expect(merged(2, "???", "?1?", "???")).toEqual(["???", "?1?", "???"]);
  expect(merged(2, "222", "2?2", "2 2")).toEqual(["222", "2?2", "2 2"]);
});

it("counts what merged into the next plan toward that plan's own regions", () => {
  expect(merged(3, ".....", ".122.", ".....")).toEqual([".....", ".....", "....."]);
  expect(merged(4, ".....", ".122.", ".....")).toEqual([".....", ".....", "....."]);
});

it("leaves all as it is at 0", () => {
  expect(merged(0.5, "121", "212")).toEqual(["121", "212"]);
});
