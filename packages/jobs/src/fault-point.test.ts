import { describe, expect, it } from "vitest";
import { toFaultPoint } from "./fault-point.ts";

describe("fault point", () => {
  it("acts at the n-th time at its own point only", () => {
    const reach = toFaultPoint("after-begin:2:raise");
    reach("after-begin");
    reach("before-publish");
    expect(() => reach("after-begin")).toThrow("raised at a fault point");
    reach("after-begin");
  });

  it("never acts without text", () => {
    expect(() => toFaultPoint(undefined)("after-begin")).not.toThrow();
  });

  it.each([
    "",
    "after-begin",
    "nowhere:1",
    "after-begin:0",
    "after-begin:1.5",
    "after-begin:1:explode",
    "after-begin:1:toString",
  ])("refuses %j", (text) => {
    expect(() => toFaultPoint(text)).toThrow(expect.objectContaining({ code: "invalid_input" }));
  });
});
