import { expect, test } from "vitest";
import { listRoundTicks } from "./ticks.ts";

test("ticks are round, within the range, and no more than asked for", () => {
  expect(listRoundTicks(0, 50, 8)).toEqual([0, 10, 20, 30, 40, 50]);
  expect(listRoundTicks(0, 60_000, 8)).toEqual([0, 10_000, 20_000, 30_000, 40_000, 50_000, 60_000]);
  expect(listRoundTicks(-52.3, 8.1, 6)).toEqual([-40, -20, 0]);
  expect(listRoundTicks(0.31, 0.79, 5)).toEqual([0.4, 0.5, 0.6, 0.7]);
});
