import { z } from "zod";
import { antennaSchema } from "./antenna-schema.ts";
import { parseWith } from "./field-problems.ts";

const elevationDeg = z.number().min(-90).max(90);

/** Where service is wanted: azimuths within half of the width about the peak, elevations from ... to. */
const serviceWindow = z
  .strictObject({
    azimuthWidthDeg: z.number().min(1).max(360),
    elevationFromDeg: elevationDeg,
    elevationToDeg: elevationDeg,
  })
  .refine(({ elevationFromDeg, elevationToDeg }) => elevationFromDeg < elevationToDeg, {
    path: ["elevationToDeg"],
    error: "must be above elevationFromDeg",
  });

/** The body of POST /v1/antennas/measures; the ids name the antennas in the picture. */
export const antennaMeasuresSchema = z.strictObject({
  version: z.literal(1),
  antenna: antennaSchema,
  /** Drawn and measured beside it. */
  against: antennaSchema.optional(),
  frequencyGhz: z.number().min(0.4).max(70),
  /** Default: the half-power widths of each antenna. */
  window: serviceWindow.optional(),
});

export type AntennaMeasuresRequest = z.output<typeof antennaMeasuresSchema>;

/** Throws InputError that points to every field at fault. */
export function parseAntennaMeasures(body: unknown): AntennaMeasuresRequest {
  return parseWith(antennaMeasuresSchema, body);
}
