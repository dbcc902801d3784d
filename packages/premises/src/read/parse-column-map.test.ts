import { describe, expect, it } from "vitest";
import { parseColumnMap } from "./parse-column-map.ts";

describe("map of columns on one line", () => {
  it("gives each role its column, whatever its name", () => {
    expect(parseColumnMap('id=ref no, lon=x=1,"address=street, town"')).toEqual({
      id: "ref no",
      lon: "x=1",
      address: "street, town",
    });
    expect(parseColumnMap("")).toEqual({});
  });

  it.each(["lon", "longitude=x", "toString=x"])("refuses %s", (text) => {
    expect(() => parseColumnMap(text)).toThrow(/is not role=column/);
  });
});
