import { truncateSync, writeFileSync } from "node:fs";
import path from "node:path";
import { createTempDir } from "@fellmark/testkit";
import { InputError } from "@fellmark/units";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { openTable } from "./open-table.ts";
import type { TableRow } from "./table.ts";

const folder = createTempDir();
afterAll(() => folder.remove());

/** One row with signs that encodings write differently. */
const SHEET = "id;name\n1;Café “Rösti” €\n";

async function read(content: string | Uint8Array) {
  const file = path.join(folder.path, "file");
  writeFileSync(file, content);
  const table = await openTable(file);
  const rows: TableRow[] = [];
  for await (const batch of table.rows) rows.push(...batch);
  return { columns: table.columns, format: table.format, rows };
}

/** Whatever a file holds, it is a table of even rows, or refused as unreadable. */
async function expectTableOrRefusal(content: string | Uint8Array): Promise<void> {
  try {
    const { columns, rows } = await read(content);
    expect(rows.every(({ cells, fault }) => fault !== undefined || cells.length === columns.length)).toBe(true);
  } catch (error) {
    expect(error).toBeInstanceOf(InputError);
    expect(error).toMatchObject({ code: "unreadable_file" });
  }
}

describe("table of a file", () => {
  it("is read or refused, whatever bytes come", async () => {
    await fc.assert(fc.asyncProperty(fc.uint8Array({ maxLength: 200 }), expectTableOrRefusal), { numRuns: 100 });
  });

  it("is read or refused, whatever text comes that looks like CSV", async () => {
    const text = fc.string({ unit: fc.constantFrom("a", "b", ",", ";", "\t", "|", '"', "\n", "\r", " ", "é", "\0") });
    await fc.assert(fc.asyncProperty(text, expectTableOrRefusal), { numRuns: 150 });
  });

  it("is read or refused, whatever text comes that looks like GeoJSON", async () => {
    const pieces = [
      '{"features":[',
      '{"type":"Feature"',
      ',"properties":{"a":1}',
      ',"geometry":null',
      "}",
      "]",
      ",",
      '"',
      "\\",
      "[",
      "1",
    ];
    const text = fc.array(fc.constantFrom(...pieces)).map((list) => `{${list.join("")}`);
    await fc.assert(fc.asyncProperty(text, expectTableOrRefusal), { numRuns: 150 });
  });

  // é is e9 in Windows-1252, € 80, and “ 93. Source: Unicode consortium, CP1252.TXT.
  it.each<[string, Uint8Array, string]>([
    ["UTF-8", Buffer.from(SHEET), "utf-8"],
    ["UTF-8 with a mark", Buffer.from(`\ufeff${SHEET}`), "utf-8 with byte order mark"],
    ["UTF-16", Buffer.from(`\ufeff${SHEET}`, "utf16le"), "utf-16le"],
    ["UTF-16 with the big end first", Buffer.from(`\ufeff${SHEET}`, "utf16le").swap16(), "utf-16be"],
    [
      "Windows-1252",
      Buffer.from(SHEET.replaceAll("€", "\u0080").replaceAll("“", "\u0093").replaceAll("”", "\u0094"), "latin1"),
      "windows-1252",
    ],
    [
      "Windows-1252 that looks like UTF-8 for 2 MB",
      Buffer.concat([Buffer.from(`id;name\n${"1;a\n".repeat(500_000)}`), Buffer.of(0x31, 0x3b, 0xe9)]),
      "windows-1252",
    ],
  ])("is read in %s", async (_, content, encoding) => {
    const { columns, rows, format } = await read(content);
    expect(columns).toEqual(["id", "name"]);
    expect(format.encoding).toBe(encoding);
    expect(rows.at(-1)?.cells[1]).toBe(rows.length > 1 ? "é" : "Café “Rösti” €");
  });

  it.each<[string, string | Uint8Array, RegExp]>([
    ["500 columns", Array.from({ length: 500 }, (_, index) => `c${index}`).join(","), /names 500 columns .* 200$/],
    ["bytes of no encoding", Buffer.of(0x61, 0x2c, 0x62, 0x0a, 0x81, 0x2c, 0x31), /neither UTF-8 nor Windows-1252/],
    ["an odd byte in UTF-16", Buffer.concat([Buffer.from("\ufeffa,b\n1,2", "utf16le"), Buffer.of(0x33)]), /utf-16le/],
  ])("is refused in a sentence with its limit: %s", async (_, content, reason) => {
    await expect(read(content)).rejects.toThrow(reason);
  });

  it("of 2 GB is refused before it is read", async () => {
    const file = path.join(folder.path, "large");
    writeFileSync(file, "a,b\n1,2\n");
    truncateSync(file, 2 * 2 ** 30);
    await expect(openTable(file)).rejects.toThrow("the file has 2148 MB, more than 1000: split it");
  });

  it("names a second header by its row", async () => {
    const { rows } = await read("Id,Name\n1,a\nID, name\n2,b\n");
    expect(rows.map(({ row, fault }) => [row, fault?.reason])).toEqual([
      [2, undefined],
      [3, "repeated_header"],
      [4, undefined],
    ]);
  });

  it("has the cells of every row, whatever the delimiter, over many pieces of the file", async () => {
    const line = (index: number) => [`${index}`, `${index} Alder Row`, `"Long; ${"x".repeat(90)}"`].join(";");
    const lines = Array.from({ length: 30_000 }, (_, index) => line(index));
    const { columns, rows } = await read(`id;address;note\n${lines.join("\n")}`);
    expect(columns).toEqual(["id", "address", "note"]);
    expect(rows).toHaveLength(lines.length);
    expect(rows.every(({ row, cells }, index) => row === index + 2 && cells[0] === `${index}`)).toBe(true);
  });
});
