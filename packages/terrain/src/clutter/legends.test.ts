import { CLUTTER_ROWS } from "@fellmark/propagation";
import { describe, expect, it } from "vitest";
import { LEGENDS } from "./legends.ts";

describe("legends", () => {
  it("have the classes of their products", () => {
    const count = (name: string) =>
      Object.values(LEGENDS[name] as object).filter(({ kind }) => kind !== "unknown").length;
    expect(count("nlcd-2011")).toBe(20);
    expect(count("worldcover")).toBe(11);
    // 44 classes, by three digits and by number.
    expect(count("corine")).toBe(88);
    expect(count("lc100")).toBe(22);
  });

  it("of CORINE give one row by digits and by number: 311 is class 23, 523 class 44", () => {
    const corine = LEGENDS.corine as Record<number, unknown>;
    expect(corine[23]).toBe(corine[311]);
    expect(corine[44]).toBe(corine[523]);
    expect(corine[1]).toBe(corine[111]);
  });

  it("give trees and towns the heights of P.2108-1 table 3 unless they are lower, and open land and water none", () => {
    for (const { kind, heightM } of Object.values(LEGENDS).flatMap((legend) => Object.values(legend))) {
      if (kind === "open" || kind === "water" || kind === "unknown") expect(heightM).toBe(0);
      else if (kind === "trees") expect([3, 5, CLUTTER_ROWS.trees.heightM]).toContain(heightM);
      else expect(heightM).toBe(CLUTTER_ROWS[kind].heightM);
    }
  });
});
