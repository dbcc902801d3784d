import { CLUTTER_KINDS } from "@fellmark/terrain";
import { describe, expect, it } from "vitest";
import { encodeClutter, isKnownCode, isWaterCode } from "./clutter-code.ts";

describe("a code of clutter", () => {
  it.each(CLUTTER_KINDS.map((kind, number) => [kind, number] as const))(
    "of %s tells water from the rest",
    (kind, number) => {
      for (const heightM of [0, 10, 200])
        expect(isWaterCode(encodeClutter(number, heightM, false))).toBe(kind === "water");
    },
  );

  it("0 is not known, and is not water", () => {
    expect([isKnownCode(0), isWaterCode(0)]).toEqual([false, false]);
  });
});
