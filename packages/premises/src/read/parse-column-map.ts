import { InputError } from "@fellmark/units";
import { type ColumnMap, isRole, ROLES } from "./columns.ts";
import { createCsvReader } from "./csv-reader.ts";

/**
 * A map of columns as it is written on one line: role=column, separated by commas; a pair that holds a comma stands in
 * double quotes. Throws InputError at /map for another form or a role that there is not.
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
      const detail = `${JSON.stringify(pair.slice(0, 80))} is no role=column`;
      throw new InputError([{ pointer: "/map", detail, limit: ROLES.join(", ") }]);
    }
    map[name] = column.join("=");
  }
  return map;
}
