import { formatColumns } from "./columns.ts";

/** Units in which lengths and areas are printed; files stay in metres. */
export const UNITS = ["metric", "imperial"] as const;
export type Units = (typeof UNITS)[number];

/** International foot and mile. Source: NIST SP 811 (2008), appendix B. */
const M_PER_FOOT = 0.3048;
const KM_PER_MILE = 1.609344;

/** Formats texts and tables for one choice of units. */
export interface UnitFormat {
  text(words: string): string;
  columns(rows: string[][]): string;
}

export function createUnitFormat(units: Units): UnitFormat {
  const text = units === "imperial" ? toImperial : (words: string) => words;
  return { text, columns: (rows) => formatColumns(rows.map((row) => row.map(text))) };
}

/** Replaces lengths and areas of a text. Example: "4.4 km away, 10 m mount" becomes "2.7 mi away, 32.8 ft mount". */
export function toImperial(words: string): string {
  return words.replace(/(?<![\w.])(-?\d+(?:\.(\d+))?) (km2|km|m|M)\b(?!\/)/g, (_whole, number, decimals = "", unit) => {
    const value = Number(number);
    if (unit === "km2") return `${(value / KM_PER_MILE ** 2).toFixed(decimals.length)} mi2`;
    if (unit === "km") return `${(value / KM_PER_MILE).toFixed(Math.max(1, decimals.length))} mi`;
    const feet = value / M_PER_FOOT;
    const rounded = Math.abs(feet) < 100 ? Number(feet.toFixed(1)) : Math.round(feet);
    return `${rounded} ${unit === "M" ? "FT" : "ft"}`;
  });
}
