import type { CoverageRequest } from "@fellmark/network";
import { expect, it } from "vitest";
import { groupSubscribersByCell } from "./subscriber-cells.ts";

/** At zoom 4 the world has 4096 cells around, 0.0879 degrees each; cell 2048 of a column begins at the equator. */
const WINDOW = { zoom: 4, col0: 4090, row0: 2040, width: 10, height: 12 };

const REQUEST = {
  sectors: [{ id: "a" }, { id: "b" }],
  plans: [
    { id: "fast", upMbps: 20 },
    { id: "basic", upMbps: 5 },
  ],
} as CoverageRequest;

function group(...subscribers: [string, string, number, number][]) {
  const rows = subscribers.map(([sector, plan, lon, lat]) => ({ sector, plan, lon, lat }));
  return groupSubscribersByCell({ ...REQUEST, subscribers: rows as CoverageRequest["subscribers"] }, WINDOW);
}

it("finds the cell on either side of 180 degrees, weighted with the uplink speed of the plan", () => {
  // 179.95 E: column 4095.4, fifth after 4090; 179.95 W: column 0.57, which is 4096 or sixth. Latitude 0.05: row 2047.4.
  const { sectors, byCell } = group(["a", "fast", 179.95, 0.05], ["b", "basic", -179.95, 0.05]);
  expect(sectors).toEqual(new Set([0, 1]));
  expect([...byCell]).toEqual([
    [75, [{ sector: 0, weight: 20 }]],
    [76, [{ sector: 1, weight: 5 }]],
  ]);
});

it("keeps all subscribers of a cell, in their order", () => {
  const { byCell } = group(["a", "fast", 179.95, 0.05], ["b", "basic", 179.96, 0.04], ["a", "sold out", 179.95, 0.05]);
  expect(byCell.get(75)).toEqual([
    { sector: 0, weight: 20 },
    { sector: 1, weight: 5 },
    { sector: 0, weight: 1 },
  ]);
});

it("leaves out who stands off the window or belongs to no sector: first and last cells of the window are on it", () => {
  // Rows 2040 and 2051: latitudes up to 0.70 and down to -0.35; columns 4090 (179.47 E) and 3 (179.65 W).
  const corners = group(["a", "fast", 179.5, 0.66], ["b", "fast", -179.67, -0.31]);
  expect([...corners.byCell.keys()]).toEqual([0, 119]);
  const outside = group(
    ["a", "fast", 179.45, 0],
    ["a", "fast", -179.63, 0],
    ["a", "fast", 180, 0.72],
    ["a", "fast", 180, -0.36],
    ["gone", "fast", 180, 0],
  );
  expect([outside.sectors.size, outside.byCell.size]).toEqual([0, 0]);
});
