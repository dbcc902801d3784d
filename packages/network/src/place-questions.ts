import { z } from "zod";
import { areaSchema, cpeSchema, sectorSchema } from "./coverage-request.ts";
import { parseBody } from "./field-problems.ts";
import { describeChoice, documentVersion, id, networkName, place } from "./field-schemas.ts";
import { planSchema } from "./traffic-schemas.ts";

/** Service radius where none is asked for, m. Common practice, no source. */
export const DEFAULT_RADIUS_M = 15_000;

const position = z
  .tuple([place.lon, place.lat], {
    error: "must be [longitude, latitude], two numbers of degrees such as [-76.7488, 40.7763]",
  })
  .describe("[longitude, latitude] in degrees, WGS84");

/** Quality of the point of a place. */
const locationQualitySchema = describeChoice("How exactly the point is known", {
  rooftop: "on the roof, within 10 m",
  parcel: "on the parcel, within 50 m",
  interpolated: "interpolated along the street, within 150 m",
  centroid: "centre of a place or postal area, within 500 m",
});

/** A place: a point, which is exact where no quality is stated, premises by their id, or the text of an address. */
export const placeSchema = z
  .union([
    z.strictObject({ at: position, quality: locationQualitySchema.optional() }),
    z.strictObject({ premises: z.string().min(1).max(200).describe("Id of imported premises") }),
    z.strictObject({
      address: z.string().trim().min(1).max(200).describe("Postal address, as imported premises have it"),
    }),
  ])
  .describe("The place: a point, premises by their id, or a postal address");

export type PlaceSpec = z.output<typeof placeSchema>;

/** The network that answers, and the equipment at the place. */
export const answering = {
  version: documentVersion,
  network: networkName.default("current"),
  radiusM: areaSchema.shape.radiusM
    .default(DEFAULT_RADIUS_M)
    .describe("Sectors within this distance may serve, m; all others only interfere"),
  cpe: id.optional().describe("Id of the CPE at the place; if absent, the first of the network"),
};

const heightAglM = cpeSchema.shape.heightAglM
  .optional()
  .describe("Height of the mount above ground, m; if absent, that of the CPE");

/** The body of POST /v1/serviceability. */
export const serviceabilityBodySchema = z.strictObject({
  ...answering,
  place: placeSchema,
  heightAglM,
  plan: planSchema.shape.id.optional().describe("Id of the plan that the verdict is about; if absent, the cheapest"),
  profile: z.boolean().default(false).describe("True: the reply holds the terrain profile to the best sector"),
  asOf: z.iso.date().optional().describe("Day of the answer, from which its expiry counts; if absent, today"),
});

const level = z.number().min(-150).max(30).describe("Level, dBm");

/** The body of POST /v1/installs: what was read at a mounted CPE. */
export const installBodySchema = z.strictObject({
  ...answering,
  place: placeSchema,
  sector: sectorSchema.shape.id.describe("Id of the sector that the CPE is connected to"),
  heightAglM,
  measured: z
    .strictObject({
      signalDbm: level.optional().describe("Level per chain at the CPE, dBm; not read where chainsDbm is given"),
      chainsDbm: z.tuple([level, level]).optional().describe("Levels of both chains at the CPE, dBm"),
      sinrDb: z
        .number()
        .min(-30)
        .max(80)
        .optional()
        .describe("Downstream ratio of signal to interference and noise at the CPE, dB"),
    })
    .refine(({ signalDbm, chainsDbm }) => signalDbm !== undefined || chainsDbm !== undefined, {
      error: "state signalDbm, or chainsDbm",
      path: ["signalDbm"],
    })
    .describe("What was read at the mounted CPE"),
});

/** A measured link, as loose as a row of somebody's table: what is impossible is refused row by row, not here. */
export const measuredRowSchema = z.strictObject({
  id: z.string().max(200).describe("Name of the row"),
  sector: z.string().max(200).describe("Id of the sector"),
  lon: z.number().describe("Longitude of the CPE in degrees, east positive, WGS84"),
  lat: z.number().describe("Latitude of the CPE in degrees, north positive, WGS84"),
  cpe: z.string().max(200).optional().describe("Id of the CPE; if absent, the first of the network"),
  heightAglM: z.number().optional().describe("Height of the CPE above ground, m; if absent, that of its kind of CPE"),
  signalDbm: z.number().describe("Level per chain at the CPE, dBm"),
  measuredAt: z.iso.datetime({ offset: true }).optional().describe("Time of the measurement, ISO 8601 with offset"),
});

export type MeasuredRow = z.output<typeof measuredRowSchema>;

/** Greatest number of measured links that a calibration is made from. */
export const MAX_MEASURED_LINKS = 5000;

/** The body of POST /v1/calibrations. */
export const calibrationBodySchema = z.strictObject({
  ...answering,
  links: z
    .array(measuredRowSchema)
    .min(1)
    .max(MAX_MEASURED_LINKS)
    .optional()
    .describe("Measured links; if absent, the subscribers of the network whose level was measured"),
});

export type ServiceabilityBody = z.output<typeof serviceabilityBodySchema>;
export type InstallBody = z.output<typeof installBodySchema>;
export type CalibrationBody = z.output<typeof calibrationBodySchema>;

/** Throws InputError that points to every field at fault. */
export function parseServiceabilityBody(body: unknown): ServiceabilityBody {
  return parseBody(serviceabilityBodySchema, body);
}

/** Throws InputError that points to every field at fault. */
export function parseInstallBody(body: unknown): InstallBody {
  return parseBody(installBodySchema, body);
}

/** Throws InputError that points to every field at fault. */
export function parseCalibrationBody(body: unknown): CalibrationBody {
  return parseBody(calibrationBodySchema, body);
}

const measuredRowsSchema = z.array(measuredRowSchema).min(1).max(MAX_MEASURED_LINKS);

/** The rows of a file of measured links. Throws InputError that points to every field at fault. */
export function parseMeasuredRows(value: unknown): MeasuredRow[] {
  return parseBody(measuredRowsSchema, value);
}
