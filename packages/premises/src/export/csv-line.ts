/** Beginnings that a spreadsheet may read as a formula: the OWASP list of CSV injection, full-width signs, the bar. */
const BEGINS_FORMULA = /^[=+\-@|\t\r\n\uff1d\uff0b\uff0d\uff20]/;
const PLAIN_NUMBER = /^[+-]?(\d+[.,]?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** Content of a cell; null and NaN: empty. */
export type CellValue = string | number | null;

/**
 * Returns one line of CSV by RFC 4180. Text that a spreadsheet would run as a formula gets a leading apostrophe.
 * @example csvLine(["=1+1", -5, 'a "b"', null]) // `'=1+1,-5,"a ""b""",\r\n`
 */
export function formatCsvLine(values: readonly CellValue[]): string {
  return `${values.map(formatCell).join(",")}\r\n`;
}

function formatCell(value: CellValue): string {
  if (value === null) return "";
  if (typeof value === "number") return Number.isNaN(value) ? "" : String(value);
  const text = BEGINS_FORMULA.test(value) && !PLAIN_NUMBER.test(value) ? `'${value}` : value;
  return /[",;\t\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
