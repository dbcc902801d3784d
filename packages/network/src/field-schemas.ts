import { MAX_LATITUDE_DEG } from "@fellmark/geodesy";
import { z } from "zod";

/** Fields that many things of a network have. A description names the unit; range and default stand in the schema. */
const ID_PATTERN = /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/;

export const id = z
  .string()
  .regex(ID_PATTERN, "1 to 64 letters, digits, dot, dash or underscore")
  .describe("Name by which other parts of the document refer to this one");

/** An id that names another part: a site, an antenna, a sector and so on. */
export function describeId(what: string) {
  return id.describe(`Id of ${what}`);
}

export const heightAglM = z.number().min(0.5).max(500).describe("Height above ground, m");
export const place = {
  lon: z.number().min(-180).max(180).describe("Longitude in degrees, east positive, WGS84"),
  lat: z.number().min(-MAX_LATITUDE_DEG).max(MAX_LATITUDE_DEG).describe("Latitude in degrees, north positive, WGS84"),
};

/** A level, gain or loss in dB; the description of the field says which. */
export function describeDb(min: number, max: number) {
  return z.number().min(min).max(max);
}

/** An enumeration whose description says what each of its values means. */
export function describeChoice<const Meanings extends Readonly<Record<string, string>>>(
  what: string,
  meanings: Meanings,
) {
  const values = Object.keys(meanings) as (keyof Meanings & string)[];
  const listed = values.map((value) => `\`${value}\`: ${meanings[value]}`).join("; ");
  return z.enum(values).describe(`${what}. ${listed}`);
}

/** A title that people read: without control characters and marks that turn the direction of writing. */
export function describeTitle(maxChars: number) {
  return z
    .string()
    .max(maxChars)
    .regex(/^[^\p{Cc}\u2028\u2029\u202a-\u202e\u2066-\u2069]*$/u, "must not hold control characters");
}

export const documentVersion = z.literal(1).describe("Version of this format");

/** Name of a set of the terrain folder. */
export const setName = z.string().regex(ID_PATTERN).describe("Name of a set of rasters in the terrain folder");

/** The network that is asked: the current one, or one by its version. */
export const networkName = z
  .union([z.literal("current"), z.string().regex(/^n[0-9a-f]{64}$/, '"current" or a version')])
  .describe("The network that was put: `current`, or a version of it");
