import { describe, expect, it } from "vitest";
import { EXACT_CHECKS, measureExactness, WORLDS } from "./testing/exact-worlds.ts";

/** Short radials and some cells of each world: sweep-exact.slow.test.ts has longer ones and 18,750 cells in all. */
const RADIUS_M = 1300;
const CELLS = 80;

describe.each(Object.keys(WORLDS))("the sweep over %s equals the literal method (ITU-R P.526-15 4.5)", (world) => {
  it.each(EXACT_CHECKS)("to $title", (check) => {
    expect(Math.max(...measureExactness(world, check, RADIUS_M, CELLS))).toBeLessThan(check.limitDb);
  });
});
