/** What a spreadsheet may take for a formula: the OWASP list of CSV injection. */
const BEGINS_FORMULA = /^[=+\-@\t\r\n]/;
const PLAIN_NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** What a cell may hold; null and NaN: nothing. */
export type CellValue = string | number | null;

/**
 * One line of CSV by RFC 4180. Text that a spreadsheet would run as a formula is led by an apostrophe, numbers are not.
 * @example csvLine(["=1+1", -5, 'a "b"', null]) // `'=1+1,-5,"a ""b""",\r\n`
 */
export function csvLine(values: readonly CellValue[]): string {
  return `${values.map(csvCell).join(",")}\r\n`;
}

function csvCell(value: CellValue): string {
  if (value === null) return "";
  if (typeof value === "number") return Number.isNaN(value) ? "" : String(value);
  const text = BEGINS_FORMULA.test(value) && !PLAIN_NUMBER.test(value) ? `'${value}` : value;
  return /[",;\t\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
