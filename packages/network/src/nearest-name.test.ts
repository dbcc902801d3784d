import { expect, test } from "vitest";
import { findNearestName } from "./nearest-name.ts";

const NAMES = ["cover", "compare", "answer", "antenna", "batch"];

test.each([
  ["covr", "cover"],
  ["COVER", "cover"],
  ["coverr", "cover"],
  ["comprae", "compare"],
  ["anser", "answer"],
  ["antena", "antenna"],
  ["predict", undefined],
  ["x", undefined],
])("%s: %s", (word, nearest) => {
  expect(findNearestName(word, NAMES)).toBe(nearest);
});
