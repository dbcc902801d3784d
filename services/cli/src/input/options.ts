import { findMagneticDeclination } from "@fellmark/geodesy";
import { DEFAULT_RADIUS_M } from "@fellmark/network";
import { InputError } from "@fellmark/units";
import { type Command, Option } from "commander";
import { UNITS } from "../output/units.ts";

interface NumberLimits {
  min: number;
  max: number;
  /** Stands behind the range in help and errors. */
  unit?: string;
  isWhole?: boolean;
  /** Default without the option, for the help. */
  fallback: string;
}

/** An option with a number as its value; the help states its range, unit and default. */
export function createNumberOption(flags: string, description: string, limits: NumberLimits): Option {
  const option = new Option(flags, `${description}, ${formatRange(limits)} (default: ${limits.fallback})`);
  return option.argParser((text) => parseNumber(text, findName(option), limits));
}

function parseNumber(text: string, name: string, { isWhole = false, ...limits }: NumberLimits): number {
  const value = text.trim() === "" ? Number.NaN : Number(text);
  const isNumber = !isWhole || /^\d+$/.test(text);
  if (isNumber && value >= limits.min && value <= limits.max) return value;
  const kind = isWhole ? "a whole number" : "a number";
  throw new InputError([{ pointer: name, detail: `must be ${kind}, got "${text}"`, limit: formatRange(limits) }]);
}

function formatRange({ min, max, unit }: Omit<NumberLimits, "fallback">): string {
  return `${min} to ${max}${unit === undefined ? "" : ` ${unit}`}`;
}

/** An option with a text as its value. Refuses the empty text and the name of another option. */
export function createTextOption(flags: string, description: string): Option {
  const option = new Option(flags, description);
  return option.argParser((text) => {
    const name = findName(option);
    if (text === "") throw new InputError([{ pointer: name, detail: `${name} is missing: ${description}` }]);
    if (text.startsWith("--")) {
      throw new InputError([{ pointer: name, detail: `${name} has no value, "${text}" follows it: ${description}` }]);
    }
    return text;
  });
}

/** Units of lengths and areas on the terminal; files stay in metres. */
export function createUnitsOption(): Option {
  const option = new Option(
    "--units <NAME>",
    "metric or imperial (feet, miles), on the terminal only (default: metric)",
  );
  return option.argParser((text) => {
    const units = UNITS.find((name) => name === text);
    if (units !== undefined) return units;
    const limit = UNITS.join(", ");
    throw new InputError([{ pointer: "--units", detail: `must be one of ${limit}, got "${text}"`, limit }]);
  });
}

/** The day that the files of a result state. */
export function createDateOption(): Option {
  const option = new Option(
    "--date <DAY>",
    "day of the request, YYYY-MM-DD, stated in every file (default: today, UTC)",
  );
  return option.argParser((text) => {
    const day = Date.parse(`${text}T00:00:00Z`);
    if (/^\d{4}-\d{2}-\d{2}$/.test(text) && toDay(day) === text) return text;
    throw new InputError([{ pointer: "--date", detail: `must be a day, YYYY-MM-DD, got "${text}"` }]);
  });
}

/** Day of a time in UTC, YYYY-MM-DD; "" for no time. */
export function toDay(timeMs: number): string {
  return Number.isNaN(timeMs) ? "" : new Date(timeMs).toISOString().slice(0, 10);
}

/** An option with a place as its value. */
export function createPlaceOption(flags: string, description: string): Option {
  const option = new Option(flags, `${description}, longitude first, degrees`);
  return option.argParser((text) => parsePlace(text, findName(option)));
}

function parsePlace(text: string, name: string): { lon: number; lat: number } {
  const [lon, lat, ...rest] = parseNumbers(text);
  if (rest.length === 0 && Math.abs(lon) <= 180 && Math.abs(lat) <= 85) return { lon, lat };
  const isSwapped = rest.length === 0 && Math.abs(lon) <= 85 && Math.abs(lat) <= 180;
  const hint = isSwapped ? "; are longitude and latitude swapped?" : "";
  const limit = "longitude -180 to 180, latitude -85 to 85";
  throw new InputError([{ pointer: name, detail: `must be LON,LAT in degrees, got "${text}"${hint}`, limit }]);
}

/** Numbers with commas between; NaN for a word that is not a number. */
export function parseNumbers(text: string): number[] {
  return text.split(",").map((word) => (word.trim() === "" ? Number.NaN : Number(word)));
}

function findName({ long, flags }: Option): string {
  return long ?? flags;
}

/** The required options with their descriptions as they were. */
const REQUIRED = new WeakMap<Option, string>();

/** Makes an option one that its command cannot do without. */
export function makeRequired(option: Option): Option {
  REQUIRED.set(option, option.description);
  option.description = `${option.description} (required)`;
  return option;
}

/**
 * Throws InputError for the first required option that is missing. The library's own check would come before that of
 * unknown options and so hide a misspelt name.
 */
export function refuseMissingOptions(command: Command): void {
  for (const option of command.options) {
    const description = REQUIRED.get(option);
    if (description !== undefined) {
      requireValue(command.getOptionValue(option.attributeName()), findName(option), description);
    }
  }
}

/** Returns a value that is there. Throws InputError that says what is missing. */
export function requireValue<T>(value: T | undefined, name: string, description: string): T {
  if (value !== undefined) return value;
  throw new InputError([{ pointer: name, detail: `${name} is missing: ${description}` }]);
}

export const TERRAIN_DIR = "folder with elevation tiles (.hgt, .hgt.zip or GeoTIFF); a terrain.json in it names sets";

export function createTerrainOption(): Option {
  return createTextOption("--terrain <DIR>", TERRAIN_DIR);
}

export function createThreadsOption(): Option {
  const range = { min: 1, max: 64, isWhole: true, fallback: "one per processor" };
  return createNumberOption("--threads <N>", "worker threads", range);
}

export function createJsonOption(description: string): Option {
  return createTextOption("--json <FILE>", description);
}

export function createRadiusOption(): Option {
  const range = { min: 100, max: 60_000, unit: "m", fallback: `${DEFAULT_RADIUS_M}` };
  return createNumberOption("--radius <M>", "service radius where a network is given", range);
}

/** `--compass`: the day for which the aim is printed for a compass as well. */
export function createCompassOption(): Option {
  const option = new Option("--compass <DATE>", "print the aim by a compass on that day as well, such as 2026-11-30");
  return option.argParser((day) => {
    if (/^\d{4}-\d\d-\d\d$/.test(day) && findMagneticDeclination({ lon: 0, lat: 0 }, day) !== null) return day;
    const detail = `must be a day within the years of a magnetic model, such as 2026-11-30, got "${day}"`;
    throw new InputError([{ pointer: findName(option), detail }]);
  });
}

export function createHeightOption(min: number, max: number): Option {
  const range = { min, max, unit: "m", fallback: "that of the request" };
  return createNumberOption("--height <M>", "height of the CPE above ground", range);
}
