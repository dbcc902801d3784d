import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createCsvReader } from "../read/csv-reader.ts";
import { formatCsvLine } from "./csv-line.ts";

describe("line of CSV", () => {
  it.each([
    ["=1+1", "'=1+1"],
    ["+SUM(A1)", "'+SUM(A1)"],
    ["-2+3", "'-2+3"],
    ["@x", "'@x"],
    ["\tx", '"\'\tx"'],
    ["\rx", '"\'\rx"'],
    ["\uff1d1+1", "'\uff1d1+1"],
    ["\uff0b1", "'\uff0b1"],
    ["\uff0d1", "'\uff0d1"],
    ["\uff20x", "'\uff20x"],
    ["|cmd", "'|cmd"],
    ["-5", "-5"],
    ["+15.5", "+15.5"],
    ['=HYPERLINK("x")', '"\'=HYPERLINK(""x"")"'],
    ["a;b", '"a;b"'],
    ["12 Alder Row", "12 Alder Row"],
  ])("writes %j as %s", (value, cell) => {
    expect(formatCsvLine([value])).toBe(`${cell}\r\n`);
  });

  it("leaves numbers numbers, and what is not known empty", () => {
    expect(formatCsvLine([-5, 0.1, Number.NaN, null, ""])).toBe("-5,0.1,,,\r\n");
  });

  it("is read as it was written but for the apostrophes, and no cell of it begins a formula", () => {
    const cell = fc.string({
      unit: fc.constantFrom("a", "=", "+", "-", "@", "\t", "\r", "\n", '"', ",", ";", "1", " ", "'"),
    });
    fc.assert(
      fc.property(fc.array(cell, { minLength: 2, maxLength: 5 }), (values) => {
        const read = createCsvReader({ delimiter: "," }).push(formatCsvLine(values))[0].cells;
        values.forEach((value, index) => {
          expect([value, `'${value}`]).toContain(read[index]);
          if (!/^[+-]?[\d.]/.test(read[index])) expect(read[index]).not.toMatch(/^[=+\-@\t\r]/);
        });
      }),
      { numRuns: 2000 },
    );
  });
});
