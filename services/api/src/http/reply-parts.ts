import { z } from "zod";

/** Parts that replies have in common. Every number names its unit in the key and in the description. */
export const formatVersion = z.literal(1).describe("Version of this format");
export const modelVersion = z.string().describe("Version of the propagation model");
export const terrainFingerprint = z.string().describe("Version of the terrain's content");
export const caution = z.string().describe("What the result leaves out, to be shown with it");

/** A share of a whole, 0 to 1. */
export function share(of: string) {
  return z.number().min(0).max(1).describe(`Share ${of}`);
}

export function count(what: string) {
  return z.int().min(0).describe(`Number of ${what}`);
}

/** A number that is null for the reason given. */
export function makeNullable(schema: z.ZodNumber, reason: string) {
  return schema.nullable().describe(`${schema.description}; null: ${reason}`);
}

export const warnings = z
  .array(
    z.object({
      code: z.string().describe("Stable name of the warning, snake_case"),
      pointer: z.string().describe("JSON pointer into the request"),
      detail: z.string().describe("The warning in words"),
    }),
  )
  .describe("What a planner should know of the request or the result");

export const refusedFiles = z
  .array(
    z.object({
      name: z.string().describe("Name of the file in the terrain folder"),
      reason: z.string().describe("Reason why it is not used"),
    }),
  )
  .describe("Files of the terrain folder that cannot be used");

export const channel = z.object({
  centreMhz: z.number().describe("Centre frequency, MHz"),
  widthMhz: z.number().describe("Channel width, MHz"),
});

export const lattice = z.object({
  zoom: z.int().describe("Zoom of the web-map pyramid, EPSG:3857, tiles of 256 cells"),
  col0: z.int().describe("First column, in cells from 180 degrees west"),
  row0: z.int().describe("First row, in cells from the north"),
  width: z.int().describe("Columns"),
  height: z.int().describe("Rows"),
});

/** Origin of a result, as every file of it states it. */
export const resultFacts = {
  version: formatVersion,
  id: z.string().describe("Id of the job"),
  name: z.string().describe("Name in the request"),
  date: z.iso.date().nullable().describe("Day on which the request was submitted, UTC; null: not stated"),
  network: z.string().nullable().describe("Version of the network; null: the request was sent whole"),
  model: modelVersion,
  terrain: terrainFingerprint,
  method: z.string().describe("Method of the model, as in the request"),
  confidence: z.number().describe("Probability with which predicted levels hold, 0 to 1"),
  availability: z.number().describe("Share of the time for which links must hold, 0 to 1"),
  cpeHeightAglM: z.number().describe("Height of the CPE above ground, m"),
};
