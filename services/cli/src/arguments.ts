import { parseArgs } from "node:util";
import { InputError } from "@fellmark/units";

/** The words after a command: options with a value, switches, and the rest in order. */
export interface Words {
  values: Record<string, string | undefined>;
  switches: ReadonlySet<string>;
  positionals: string[];
}

/** Parses the words after a command. Throws InputError that names the word at fault. */
export function parseWords(words: string[], valueNames: readonly string[], switchNames: readonly string[] = []): Words {
  const options = Object.fromEntries([
    ...valueNames.map((name) => [name, { type: "string" as const }]),
    ...switchNames.map((name) => [name, { type: "boolean" as const }]),
  ]);
  try {
    const parsed = parseArgs({ args: words, options, allowPositionals: true, strict: true });
    const values = parsed.values as Record<string, string | boolean | undefined>;
    return {
      values: Object.fromEntries(valueNames.map((name) => [name, values[name] as string | undefined])),
      switches: new Set(switchNames.filter((name) => values[name] === true)),
      positionals: parsed.positionals,
    };
  } catch (error) {
    throw new InputError([{ pointer: "", detail: error instanceof Error ? error.message : String(error) }]);
  }
}

/** An option that a command cannot do without. */
export function required(value: string | undefined, name: string): string {
  if (value === undefined || value === "") throw new InputError([{ pointer: name, detail: `${name} is missing` }]);
  return value;
}

export function wholeNumber(text: string | undefined, name: string, min: number, max: number): number | undefined {
  if (text === undefined) return undefined;
  const value = Number(text);
  if (/^\d+$/.test(text) && value >= min && value <= max) return value;
  throw new InputError([{ pointer: name, detail: `must be a whole number, got "${text}"`, limit: `${min} to ${max}` }]);
}

/** "LON,LAT" in degrees. */
export function lonLat(text: string, name: string): { lon: number; lat: number } {
  const [lon, lat, ...rest] = text.split(",").map((part) => (part.trim() === "" ? Number.NaN : Number(part)));
  const fits = rest.length === 0 && Math.abs(lon) <= 180 && Math.abs(lat) <= 85;
  if (fits) return { lon, lat };
  const limit = "longitude -180 to 180, latitude -85 to 85";
  throw new InputError([{ pointer: name, detail: `must be LON,LAT in degrees, got "${text}"`, limit }]);
}

export function numberWithin(text: string | undefined, name: string, min: number, max: number): number | undefined {
  if (text === undefined) return undefined;
  const value = text.trim() === "" ? Number.NaN : Number(text);
  if (value >= min && value <= max) return value;
  throw new InputError([{ pointer: name, detail: `must be a number, got "${text}"`, limit: `${min} to ${max}` }]);
}
