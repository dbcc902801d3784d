import { describe, expect, it } from "vitest";
import { EXACT_CHECKS, measureExactness, WORLDS } from "./testing/exact-worlds.ts";

/** In all 5 x 15 x 250 = 18,750 profiles of up to 2.5 km. */
const RADIUS_M = 2500;
const CELLS = 250;

describe.each(Object.keys(WORLDS))("the sweep over %s equals the literal method (ITU-R P.526-15 4.5)", (world) => {
  it.each(EXACT_CHECKS)("to $title", (check) => {
    expect(Math.max(...measureExactness(world, check, RADIUS_M, CELLS))).toBeLessThan(check.limitDb);
  });
});
