import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createCsvReader } from "./csv-reader.ts";

function cellsOf(text: string, delimiter = ",", pieces: readonly number[] = []): string[][] {
  const reader = createCsvReader({ delimiter });
  const cuts = [0, ...pieces.map((at) => at % (text.length + 1)).sort((a, b) => a - b), text.length];
  const rows = cuts.slice(1).flatMap((cut, index) => reader.push(text.slice(cuts[index], cut)));
  return rows.concat(reader.end()).map(({ cells }) => cells);
}

/** RFC 4180, section 2, rules 5 to 7. */
function written(rows: string[][], delimiter: string): string {
  return rows.map((row) => row.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(delimiter)).join("\r\n");
}

describe("CSV reader", () => {
  it.each([
    [
      "plain",
      "a,b\nc,d\n",
      [
        ["a", "b"],
        ["c", "d"],
      ],
    ],
    [
      "no line end behind the last record",
      "a,b\r\nc,d",
      [
        ["a", "b"],
        ["c", "d"],
      ],
    ],
    ["quotes, a delimiter and a line end in a cell", '"a ""x""","b,\nc"\n', [['a "x"', "b,\nc"]]],
    ["a quote that does not begin a cell", '3 "B" Row,x\n', [['3 "B" Row', "x"]]],
    [
      "empty cells and blank lines",
      ",\n\n,x\n",
      [
        ["", ""],
        ["", "x"],
      ],
    ],
  ])("reads %s", (_name, text, rows) => {
    expect(cellsOf(text)).toEqual(rows);
  });

  it("reads what was written by the rules, in whatever pieces it comes", () => {
    const cell = fc.string({ unit: fc.constantFrom("a", '"', ",", ";", "\n", "\r", " ", "é") });
    const rows = fc.array(fc.array(cell, { minLength: 2, maxLength: 4 }), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(rows, fc.constantFrom(",", ";", "\t", "|"), fc.array(fc.nat(200)), (table, delimiter, pieces) => {
        expect(cellsOf(written(table, delimiter), delimiter, pieces)).toEqual(table);
      }),
    );
  });

  it("never loses a line of text without quotes", () => {
    const line = fc.string({ unit: fc.constantFrom("a", ",", " ", "-"), minLength: 1 });
    fc.assert(
      fc.property(fc.array(line), fc.array(fc.nat(200)), (lines, pieces) => {
        expect(cellsOf(lines.join("\n"), ",", pieces)).toEqual(lines.map((one) => one.split(",")));
      }),
    );
  });

  it("counts rows as a spreadsheet does", () => {
    const reader = createCsvReader({ delimiter: "," });
    const rows = reader.push('a,b\n\n"x\ny",1\nz,2\n');
    expect(rows.map(({ row }) => row)).toEqual([1, 3, 4]);
  });

  it("marks a row with text behind a closing quote", () => {
    const [row] = createCsvReader({ delimiter: "," }).push('"a"b,c\n');
    expect(row).toMatchObject({ cells: ["ab", "c"], fault: { reason: "bad_quotes", column: "cell 1" } });
  });

  it("refuses a quote that is never closed, at the end or after a megabyte", () => {
    const open = createCsvReader({ delimiter: "," });
    open.push('a,b\n"c,d\n');
    expect(() => open.end()).toThrow(/quote in row 2/);
    const long = createCsvReader({ delimiter: "," });
    expect(() => long.push(`"${"x".repeat(1_000_001)}`)).toThrow(/quote in row 1/);
  });
});
