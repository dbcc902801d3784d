import type { RowFault } from "./rejection.ts";
import { quoteCell } from "./rejection.ts";

/** Number of a cell, or the fault without its column, which the caller adds. */
export type ReadNumber = { value: number } | { fault: Omit<RowFault, "column"> };

/** Notations that a cell may have besides decimals with a point. */
export interface NumberForm {
  /** True: a comma is a decimal comma, as nothing else is separated by commas. */
  hasDecimalCommas?: boolean;
  /** The axis of degrees, which may be given with minutes, seconds and hemisphere; absent: decimals only. */
  axis?: "lon" | "lat";
}

const DECIMAL = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
const DECIMAL_COMMA = /^[+-]?\d+,\d+$/;
/** Degrees, minutes and perhaps seconds, with a letter for the hemisphere on either side, or degrees with such a letter. */
const SEXAGESIMAL =
  /^([NSEWO])?\s*([+-]?\d{1,3}(?:\.\d+)?)\s*(?:[°º\s:]\s*(?:(\d{1,2}(?:\.\d+)?)\s*(?:['′’\s:]\s*(?:(\d{1,2}(?:\.\d+)?)\s*(?:["″”]|'')?)?)?)?)?\s*([NSEWO])?$/i;

/** Letters of the hemispheres by axis. O is east in some languages and west in others. */
const LETTERS = { lon: /[EW]/i, lat: /[NS]/i } as const;

/** Reads a number in plain decimals, or in the notations that are allowed. Any other is refused with the value that it would have. */
export function readCoordinate(text: string, { hasDecimalCommas = false, axis }: NumberForm = {}): ReadNumber {
  const trimmed = text.trim();
  if (trimmed === "") return toFault("no_point", "is empty", "give the point, or leave the row out");
  if (DECIMAL_COMMA.test(trimmed) && !hasDecimalCommas) {
    return toFault("decimal_comma", `${quoteCell(text)} has a decimal comma`, `write ${trimmed.replace(",", ".")}`);
  }
  const pointed = hasDecimalCommas ? trimmed.replace(/(\d),(\d)/, "$1.$2") : trimmed;
  if (DECIMAL.test(pointed)) {
    const value = Number(pointed);
    return Number.isFinite(value)
      ? { value }
      : toFault("not_a_number", `${quoteCell(text)} is too large`, "give decimals");
  }
  const parts = parseSexagesimal(pointed);
  if (parts === undefined)
    return toFault("not_a_number", `${quoteCell(text)} is not a number`, "give decimals, as -72.5301");
  return readDegrees(text, parts, axis);
}

function readDegrees(text: string, { degrees, letter }: Sexagesimal, axis: NumberForm["axis"]): ReadNumber {
  const suggestion = `write ${Number(degrees.toFixed(7))}`;
  if (axis === undefined) return toFault("degrees_minutes", `${quoteCell(text)} is not in decimals`, suggestion);
  if (letter === "" || LETTERS[axis].test(letter)) return { value: degrees };
  if (/O/i.test(letter))
    return toFault("degrees_minutes", `${quoteCell(text)}: O is east or west by language`, "write E or W");
  const name = axis === "lon" ? "longitude" : "latitude";
  return toFault("swapped", `${quoteCell(text)} is not a ${name}`, "longitude and latitude look swapped");
}

interface Sexagesimal {
  degrees: number;
  /** Letter of the hemisphere; empty: none. */
  letter: string;
}

function parseSexagesimal(text: string): Sexagesimal | undefined {
  const parts = SEXAGESIMAL.exec(text);
  if (!parts) return undefined;
  const [, before, whole, minutes = "0", seconds = "0", after] = parts;
  if (before !== undefined && after !== undefined) return undefined;
  const letter = before ?? after ?? "";
  const size = Math.abs(Number(whole)) + Number(minutes) / 60 + Number(seconds) / 3600;
  const isSigned = /^[+-]/.test(whole);
  if (Number(minutes) >= 60 || Number(seconds) >= 60 || (isSigned && letter !== "")) return undefined;
  return { degrees: whole.startsWith("-") || /[SW]/i.test(letter) ? -size : size, letter };
}

function toFault(reason: string, detail: string, suggestion: string): ReadNumber {
  return { fault: { reason, detail, suggestion } };
}
