import { expect, it } from "vitest";
import type { PathClass } from "../path/path-geometry.ts";
import { findLossSpreadDb } from "./loss-spread.ts";

const CLASSES: PathClass[] = ["clear", "grazing", "blocked"];

it("is 4, 6 and 9 dB by class where clutter costs nothing (common practice, no source)", () => {
  expect(CLASSES.map((pathClass) => findLossSpreadDb({ pathClass, clutterLossDb: 0 }))).toEqual([4, 6, 9]);
});

it("is at least 9 dB wherever clutter costs anything, and where it is not known", () => {
  for (const pathClass of CLASSES) {
    expect(findLossSpreadDb({ pathClass, clutterLossDb: 1e-9 })).toBe(9);
    expect(findLossSpreadDb({ pathClass, clutterLossDb: 30 })).toBe(9);
    expect(findLossSpreadDb({ pathClass, clutterLossDb: null })).toBe(9);
    expect(findLossSpreadDb({ pathClass, clutterLossDb: Number.NaN })).toBe(9);
  }
});
