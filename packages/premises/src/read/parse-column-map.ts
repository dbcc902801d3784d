import { InputError } from "@fellmark/units";
import { type ColumnMap, isRole, ROLES } from "./columns.ts";
import { createCsvReader } from "./csv-reader.ts";

/**
 * Parses a map of columns on one line: role=column, separated by commas; a pair that contains a comma is put in double
 * quotes. Throws InputError at /map for another form or an unknown role.
 * @example parseColumnMap('id=ref no,"address=street, town"') // { id: "ref no", address: "street, town" }
 */
export function parseColumnMap(text: string): ColumnMap {
  const reader = createCsvReader({ delimiter: "," });
  const pairs = [...reader.push(text), ...reader.end()].flatMap(({ cells }) => cells);
  const map: ColumnMap = {};
  for (const pair of pairs) {
    const [role, ...column] = pair.split("=");
    const name = role.trim();
    if (!isRole(name) || column.length === 0) {
      const detail = `${JSON.stringify(pair.slice(0, 80))} is not role=column`;
      throw new InputError([{ pointer: "/map", detail, limit: ROLES.join(", ") }]);
    }
    map[name] = column.join("=");
  }
  return map;
}
