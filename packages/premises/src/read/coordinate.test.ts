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

  it.each<[string, number]>([
    ["44,3043", 44.3043],
    ["-72,5", -72.5],
    ["1,5e2", 150],
  ])("takes the decimal comma of %s where commas separate nothing else", (text, value) => {
    expect(readCoordinate(text, { hasDecimalCommas: true })).toEqual({ value });
  });

  it.each<[string, "lon" | "lat", number]>([
    ["44°18'15.5\"N", "lat", 44 + 18 / 60 + 15.5 / 3600],
    ["44 18 15.5", "lat", 44 + 18 / 60 + 15.5 / 3600],
    ["W 72° 31.8'", "lon", -72.53],
    ["72.53 W", "lon", -72.53],
    ["-72:31:48", "lon", -72.53],
    ["72°31'48''W", "lon", -72.53],
    ["0°30'S", "lat", -0.5],
  ])("takes %s as degrees of the axis %s", (text, axis, value) => {
    const read = readCoordinate(text, { axis });
    expect("value" in read && read.value).toBeCloseTo(value, 12);
  });

  it.each<[string, "lon" | "lat", string]>([
    ["44°18'N", "lon", "swapped"],
    ["72°31'W", "lat", "swapped"],
    ["72°31'O", "lon", "degrees_minutes"],
    ["-72°31'W", "lon", "not_a_number"],
    ["E 72°31'E", "lon", "not_a_number"],
    ["72°61'W", "lon", "not_a_number"],
  ])("refuses %s on the axis %s as %s", (text, axis, reason) => {
    expect(readCoordinate(text, { axis })).toMatchObject({ fault: { reason } });
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
