import { describe, expect, it } from "vitest";
import { readCoordinate } from "./coordinate.ts";

describe("coordinate", () => {
  it.each([
    ["-72.53", -72.53],
    [" +44.5 ", 44.5],
    ["6.1e2", 610],
    [".5", 0.5],
  ])("takes %s", (text, value) => {
    expect(readCoordinate(text)).toEqual({ value });
  });

  // 44 + 18/60 + 15.5/3600 = 44.3043056; 72 + 31.8/60 = 72.53.
  it.each([
    ["", "no_point", ""],
    ["44,3043", "decimal_comma", "write 44.3043"],
    ["44°18'15.5\"N", "degrees_minutes", "write 44.3043056"],
    ["44 18 15.5", "degrees_minutes", "write 44.3043056"],
    ["W 72° 31.8'", "degrees_minutes", "write -72.53"],
    ["72.53 W", "degrees_minutes", "write -72.53"],
    ["-72:31:48", "degrees_minutes", "write -72.53"],
    ["NaN", "not_a_number", "give decimals"],
    ["Infinity", "not_a_number", "give decimals"],
    ["1e999", "not_a_number", "give decimals"],
    ["44 78 00", "not_a_number", "give decimals"],
    ["somewhere", "not_a_number", "give decimals"],
  ])("refuses %j as %s and says what it would be", (text, reason, suggestion) => {
    expect(readCoordinate(text)).toMatchObject({
      fault: { reason, suggestion: expect.stringContaining(suggestion) },
    });
  });
});
