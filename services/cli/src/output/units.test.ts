import { describe, expect, it } from "vitest";
import { createUnitFormat, toImperial } from "./units.ts";

describe("lengths in feet and miles", () => {
  // 1 ft = 0.3048 m, 1 mi = 1.609344 km exactly (NIST SP 811, appendix B).
  it.each([
    [
      "SERVICEABLE WITH A 10 M MOUNT: p (25/5 Mbit/s), 95 % chance. At 6 m: 8 %",
      "SERVICEABLE WITH A 32.8 FT MOUNT: p (25/5 Mbit/s), 95 % chance. At 19.7 ft: 8 %",
    ],
    ["east-top-210, 4.4 km away", "east-top-210, 2.7 mi away"],
    ["Terrain rises 97 m above the line of sight", "Terrain rises 318 ft above the line of sight"],
    ["33.37 km2", "12.88 mi2"],
    ["-68.0 dBm per chain, 5745 MHz, 3 ms", "-68.0 dBm per chain, 5745 MHz, 3 ms"],
  ])("%s", (metric, imperial) => expect(toImperial(metric)).toBe(imperial));

  it("line up in tables", () => {
    const { columns } = createUnitFormat("imperial");
    expect(
      columns([
        ["a", "100 m", "b"],
        ["c", "1 m", "d"],
      ]),
    ).toBe("a  328 ft  b\nc  3.3 ft  d");
  });

  it("stay metres without the choice", () => {
    expect(createUnitFormat("metric").text("10 m")).toBe("10 m");
  });
});
