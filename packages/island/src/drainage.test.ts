import { expect, test } from "vitest";
import { computeDrainage } from "./drainage.ts";

/** A wall of 5 round a hollow of 1 whose lowest rim, 2, is to the east; sea two cells wide all round. */
const HOLLOW = [
  [0, 0, 0, 0, 0, 0, 0],
  [0, 0, 0, 0, 0, 0, 0],
  [0, 0, 5, 5, 5, 0, 0],
  [0, 0, 5, 1, 2, 0, 0],
  [0, 0, 5, 5, 5, 0, 0],
  [0, 0, 0, 0, 0, 0, 0],
  [0, 0, 0, 0, 0, 0, 0],
].flat();
const [CENTRE, GATE] = [24, 25];

test("a hollow drains over its lowest rim, and every cell stands after the one it drains to", () => {
  const { order, receiver } = computeDrainage({ width: 7, height: 7, cellM: 1, values: Float64Array.from(HOLLOW) });
  expect(receiver[CENTRE]).toBe(GATE);
  expect(HOLLOW[receiver[GATE]]).toBe(0);
  expect(order.toSorted()).toEqual(Int32Array.of(16, 17, 18, 23, 24, 25, 30, 31, 32));
  expect(order.indexOf(GATE)).toBeLessThan(order.indexOf(CENTRE));
});
