import { z } from "zod";
import { antennaSchema } from "./antenna-schema.ts";
import { parseBody } from "./field-problems.ts";
import { documentVersion } from "./field-schemas.ts";

const elevationDeg = (edge: string) =>
  z.number().min(-90).max(90).describe(`${edge} elevation, degrees above the horizon`);

/** The window in which service is wanted: azimuths within half of the width about the peak, elevations from ... to. */
const serviceWindow = z
  .strictObject({
    azimuthWidthDeg: z.number().min(1).max(360).describe("Width in azimuth, centred on the peak, degrees"),
    elevationFromDeg: elevationDeg("Lowest"),
    elevationToDeg: elevationDeg("Highest"),
  })
  .refine(({ elevationFromDeg, elevationToDeg }) => elevationFromDeg < elevationToDeg, {
    path: ["elevationToDeg"],
    error: "must be above elevationFromDeg",
  });

/** The body of POST /v1/antennas/parameters; the ids name the antennas in the picture. */
export const antennaParametersSchema = z.strictObject({
  version: documentVersion,
  antenna: antennaSchema.describe("The antenna; its id names it in the picture"),
  against: antennaSchema.optional().describe("A second antenna, drawn and measured beside it"),
  frequencyGhz: z.number().min(0.4).max(70).describe("Frequency, GHz"),
  window: serviceWindow
    .optional()
    .describe("Directions where service is wanted; if absent, within the half-power widths of each antenna"),
});

export type AntennaParametersRequest = z.output<typeof antennaParametersSchema>;

/** Throws InputError that points to every field at fault. */
export function parseAntennaParameters(body: unknown): AntennaParametersRequest {
  return parseBody(antennaParametersSchema, body);
}
