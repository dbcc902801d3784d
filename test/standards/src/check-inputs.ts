import type { Polarisation } from "@fellmark/propagation";

/** One row of a checks file. */
export interface CheckRow {
  id: string;
  quantity: string;
  inputs: Record<string, unknown>;
  expected: unknown;
  tolerance: number;
}

/** One value of the product; null says that there is none. */
export type GotValue = number | string | null;

/** What the product gives for a row: one value, or the values of a row with several, by name or in order. */
export type Got = number | readonly GotValue[] | Readonly<Record<string, GotValue>>;

export type Inputs = Record<string, unknown>;

/** The function of the product behind each quantity of the checks files, by its name; a final * stands for any figures. */
export type Quantities = Readonly<Record<string, (inputs: Inputs, rows: CheckRow[]) => Got>>;

/** A number among the inputs, given as such or as a product like "6371*4/3" or "0.2998/f"; NaN where absent. */
export function numberOf(inputs: Inputs, name: string): number {
  const value = inputs[name];
  if (typeof value === "number") return value;
  if (typeof value !== "string") return Number.NaN;
  const terms = value.match(/[*/]?[^*/]+/g) ?? [];
  return terms.reduce((product, term) => {
    const text = term.replace(/^[*/]/, "");
    const factor = text === "f" ? numberOf(inputs, "f_GHz") : Number(text);
    return term.startsWith("/") ? product / factor : product * factor;
  }, 1);
}

/** Points of a path among the inputs: lists, or "h=0 every 0.1 km, 51 points". */
export function pointsOf(inputs: Inputs): { distanceKm: number[]; groundAmslM: number[] } {
  const flat = /^h=0 every ([\d.]+) km, (\d+) points$/.exec(String(inputs.profile ?? ""));
  if (!flat) return { distanceKm: inputs.d_km as number[], groundAmslM: inputs.h_m as number[] };
  const distanceKm = Array.from({ length: Number(flat[2]) }, (_, i) => i * Number(flat[1]));
  return { distanceKm, groundAmslM: distanceKm.map(() => 0) };
}

export function polarisationOf(inputs: Inputs): Polarisation {
  return inputs.pol === "V" ? "vertical" : "horizontal";
}
