import { z } from "zod";
import { antennaSchema } from "./antenna-schema.ts";
import { parseWith } from "./field-problems.ts";

/** The body of POST /v1/antennas/measures; the ids name the antennas in the picture. */
export const antennaMeasuresSchema = z.strictObject({
  version: z.literal(1),
  antenna: antennaSchema,
  /** Drawn and measured beside it. */
  against: antennaSchema.optional(),
  frequencyGhz: z.number().min(0.4).max(70),
});

export type AntennaMeasuresRequest = z.output<typeof antennaMeasuresSchema>;

/** Throws InputError that points to every field at fault. */
export function parseAntennaMeasures(body: unknown): AntennaMeasuresRequest {
  return parseWith(antennaMeasuresSchema, body);
}
