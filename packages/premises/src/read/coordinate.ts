import type { RowFault } from "./rejection.ts";
import { quoteCell } from "./rejection.ts";

/** Number of a cell, or the fault without its column, which the caller adds. */
export type ReadNumber = { value: number } | { fault: Omit<RowFault, "column"> };

const DECIMAL = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
const DECIMAL_COMMA = /^[+-]?\d+,\d+$/;
/** Degrees, minutes and perhaps seconds, with a letter for the hemisphere on either side, or degrees with such a letter. */
const SEXAGESIMAL =
  /^([NSEWO])?\s*([+-]?\d{1,3}(?:\.\d+)?)\s*(?:[°º\s:]\s*(?:(\d{1,2}(?:\.\d+)?)\s*(?:['′’\s:]\s*(?:(\d{1,2}(?:\.\d+)?)\s*["″”]?)?)?)?)?\s*([NSEW])?$/i;

/** Reads a coordinate in plain decimals. Any other notation is refused with the value that it would have. */
export function readCoordinate(text: string): ReadNumber {
  const trimmed = text.trim();
  if (trimmed === "") return toFault("no_point", "is empty", "give the point, or leave the row out");
  if (DECIMAL.test(trimmed)) {
    const value = Number(trimmed);
    return Number.isFinite(value)
      ? { value }
      : toFault("not_a_number", `${quoteCell(text)} is too large`, "give decimals");
  }
  if (DECIMAL_COMMA.test(trimmed)) {
    return toFault("decimal_comma", `${quoteCell(text)} has a decimal comma`, `write ${trimmed.replace(",", ".")}`);
  }
  const degrees = parseSexagesimal(trimmed);
  if (degrees === undefined)
    return toFault("not_a_number", `${quoteCell(text)} is not a number`, "give decimals, as -72.5301");
  return toFault("degrees_minutes", `${quoteCell(text)} is not in decimals`, `write ${Number(degrees.toFixed(7))}`);
}

function parseSexagesimal(text: string): number | undefined {
  const parts = SEXAGESIMAL.exec(text);
  if (!parts) return undefined;
  const [, before, whole, minutes = "0", seconds = "0", after] = parts;
  const size = Math.abs(Number(whole)) + Number(minutes) / 60 + Number(seconds) / 3600;
  const isNegative = whole.startsWith("-") || /[SW]/i.test(before ?? after ?? "");
  return Number(minutes) < 60 && Number(seconds) < 60 ? (isNegative ? -size : size) : undefined;
}

function toFault(reason: string, detail: string, suggestion: string): ReadNumber {
  return { fault: { reason, detail, suggestion } };
}
