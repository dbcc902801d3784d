import { describe, expect, it } from "vitest";
import { buildClutterTable, CLUTTER_KINDS } from "./clutter-table.ts";
import { LEGENDS, type Legend } from "./legends.ts";
import { resolveClutter } from "./resolve-clutter.ts";

const NONE = Number.NaN;
const TABLE = buildClutterTable(LEGENDS["nlcd-2011"] as Legend, { 81: 1.5, 82: 3, 90: 1 });

/** Clutter of one place. A source that is undefined is not given; NaN is a source that does not know the place. */
function stands(given: { building?: number; tree?: number; code?: number }): [string, number] {
  const one = (value: number | undefined) => (value === undefined ? null : Float32Array.of(value));
  const heightM = new Float32Array(1);
  const kind = new Uint8Array(1);
  const codes = one(given.code);
  const sources = { buildings: one(given.building), canopy: one(given.tree), codes, table: codes && TABLE };
  const notKnown = resolveClutter(sources, heightM, kind);
  const name = CLUTTER_KINDS[kind[0] as number] as string;
  expect(notKnown).toBe(name === "unknown" ? 1 : 0);
  return [name, heightM[0] as number];
}

describe("clutter at a place", () => {
  it.each<[string, Parameters<typeof stands>[0], string, number]>([
    ["a house", { building: 6, tree: 20, code: 42 }, "suburban", 6],
    ["a block of flats", { building: 14 }, "urban", 14],
    ["a tower", { building: 52 }, "dense-urban", 52],
    ["a tower of 400 m", { building: 400 }, "dense-urban", 400],
    ["a tree of 80 m", { building: 0, tree: 80 }, "trees", 80],
    ["a tree", { building: 0, tree: 9, code: 11 }, "trees", 9],
    ["a bush", { building: 0, tree: 1.9 }, "open", 0],
    ["forest by its code", { code: 42 }, "trees", 15],
    ["a clearing, known from the canopy", { tree: 0, code: 42 }, "open", 0],
    ["a street, known from the buildings", { building: 0, code: 24 }, "open", 0],
    ["a town by its code, although no tree stands there", { tree: 0, code: 24 }, "urban", 15],
    ["forest by its code, although no house stands there", { building: 0, code: 41 }, "trees", 15],
    ["water stays water", { building: 0, tree: 0, code: 11 }, "water", 0],
    ["open land", { code: 71 }, "open", 0],
    ["a crop as high as the caller says", { code: 82 }, "open", 3],
    ["a crop lower than 2 m", { code: 81 }, "open", 0],
    ["a wood that the caller cut", { code: 90 }, "open", 0],
    ["noise about the ground", { building: -1.5, tree: 0 }, "open", 0],
  ])("%s", (_what, given, kind, heightM) => {
    expect(stands(given)).toEqual([kind, heightM]);
  });

  it.each<[string, Parameters<typeof stands>[0]]>([
    ["no source knows it", { building: NONE, tree: NONE, code: NONE }],
    ["no source at all", {}],
    ["a code without a row", { code: 250 }],
    ["a code that is no whole number", { code: 42.5 }],
    ["a code beyond every table", { code: 5000 }],
    ["a code below zero", { code: -1 }],
    ["the code of no data", { code: 0 }],
    ["no house, but the canopy is not known", { building: 0, tree: NONE }],
    ["no tree, but the buildings are not known", { building: NONE, tree: 0 }],
    ["a tree 40 m under the ground", { tree: -40 }],
    ["a building 5 m under the ground", { building: -5 }],
    ["a tree of 255 m, which marks no data", { tree: 255 }],
    ["a building of 9999 m", { building: 9999 }],
  ])("is not known, never open: %s", (_what, given) => {
    expect(stands(given)).toEqual(["unknown", Number.NaN]);
  });
});
