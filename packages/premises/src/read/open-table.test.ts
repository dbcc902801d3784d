import { writeFileSync } from "node:fs";
import path from "node:path";
import { createTempDir } from "@fellmark/testkit";
import { InputError } from "@fellmark/units";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { openTable } from "./open-table.ts";
import type { TableRow } from "./table.ts";

const folder = createTempDir();
afterAll(() => folder.remove());

async function read(content: string | Uint8Array): Promise<{ columns: string[]; rows: TableRow[] }> {
  const file = path.join(folder.path, "file");
  writeFileSync(file, content);
  const table = await openTable(file);
  const rows: TableRow[] = [];
  for await (const batch of table.rows) rows.push(...batch);
  return { columns: table.columns, rows };
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

  it("has the cells of every row, whatever the delimiter, over many pieces of the file", async () => {
    const line = (index: number) => [`${index}`, `${index} Alder Row`, `"Long; ${"x".repeat(90)}"`].join(";");
    const lines = Array.from({ length: 30_000 }, (_, index) => line(index));
    const { columns, rows } = await read(`id;address;note\n${lines.join("\n")}`);
    expect(columns).toEqual(["id", "address", "note"]);
    expect(rows).toHaveLength(lines.length);
    expect(rows.every(({ row, cells }, index) => row === index + 2 && cells[0] === `${index}`)).toBe(true);
  });
});
