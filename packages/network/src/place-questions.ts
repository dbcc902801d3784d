import { z } from "zod";
import { areaSchema, kitSchema, planSchema, sectorSchema } from "./coverage-request.ts";
import { parseWith } from "./field-problems.ts";
import { id, place } from "./field-schemas.ts";

/** Service radius where none is asked for, m. Common practice, no source. */
export const DEFAULT_RADIUS_M = 15_000;

const position = z.tuple([place.lon, place.lat], {
  error: "must be [longitude, latitude], two numbers of degrees such as [-76.7488, 40.7763]",
});

/** How well the point of a place is known. */
export const pinQualitySchema = z.enum(["rooftop", "parcel", "interpolated", "centroid"]);

export type PinQuality = z.output<typeof pinQualitySchema>;

/** A place: a point, which is exact where no quality is stated, premises by their id, or the text of an address. */
export const placeSchema = z.union([
  z.strictObject({ at: position, quality: pinQualitySchema.optional() }),
  z.strictObject({ premises: z.string().min(1).max(200) }),
  z.strictObject({ address: z.string().trim().min(1).max(200) }),
]);

export type PlaceSpec = z.output<typeof placeSchema>;

/** Which network answers, and with what at the place. */
export const answering = {
  version: z.literal(1),
  /** The current network, or one by its version. */
  network: z
    .union([z.literal("current"), z.string().regex(/^n[0-9a-f]{64}$/, '"current" or a version')])
    .default("current"),
  /** Sectors within it may serve; all others only interfere. */
  radiusM: areaSchema.shape.radiusM.default(DEFAULT_RADIUS_M),
  /** Default: the first kit of the network. */
  kit: id.optional(),
};

const heightAglM = kitSchema.shape.heightAglM.optional();

/** The body of POST /v1/serviceability. */
export const serviceabilityBodySchema = z.strictObject({
  ...answering,
  place: placeSchema,
  /** Height of the mount; default: that of the kit. */
  heightAglM,
  /** Plan that the verdict is about; default: the cheapest. */
  plan: planSchema.shape.id.optional(),
  /** Whether the profile to the best sector comes along. */
  profile: z.boolean().default(false),
  /** The day of the answer, which its expiry counts from; default: today. */
  asOf: z.iso.date().optional(),
});

const level = z.number().min(-150).max(30);

/** The body of POST /v1/installs: what was read at a mounted kit. */
export const installBodySchema = z.strictObject({
  ...answering,
  place: placeSchema,
  sector: sectorSchema.shape.id,
  heightAglM,
  measured: z
    .strictObject({
      /** Level per chain at the kit; where both chains are given, theirs counts. */
      signalDbm: level.optional(),
      chainsDbm: z.tuple([level, level]).optional(),
      sinrDb: z.number().min(-30).max(80).optional(),
    })
    .refine(({ signalDbm, chainsDbm }) => signalDbm !== undefined || chainsDbm !== undefined, {
      error: "state signalDbm, or chainsDbm",
      path: ["signalDbm"],
    }),
});

/** A measured link, as loose as a row of somebody's table: what is impossible is refused row by row, not here. */
export const measuredRowSchema = z.strictObject({
  id: z.string().max(200),
  sector: z.string().max(200),
  lon: z.number(),
  lat: z.number(),
  kit: z.string().max(200).optional(),
  heightAglM: z.number().optional(),
  /** Level per chain at the kit. */
  signalDbm: z.number(),
  measuredAt: z.iso.datetime({ offset: true }).optional(),
});

export type MeasuredRow = z.output<typeof measuredRowSchema>;

/** How many measured links a correction is made from at most. */
export const MAX_MEASURED_LINKS = 5000;

/** The body of POST /v1/corrections. */
export const correctionBodySchema = z.strictObject({
  ...answering,
  /** Default: the subscribers of the network of whom a level was measured. */
  links: z.array(measuredRowSchema).min(1).max(MAX_MEASURED_LINKS).optional(),
});

export type ServiceabilityBody = z.output<typeof serviceabilityBodySchema>;
export type InstallBody = z.output<typeof installBodySchema>;
export type CorrectionBody = z.output<typeof correctionBodySchema>;

/** Throws InputError that points to every field at fault. */
export function parseServiceabilityBody(body: unknown): ServiceabilityBody {
  return parseWith(serviceabilityBodySchema, body);
}

/** Throws InputError that points to every field at fault. */
export function parseInstallBody(body: unknown): InstallBody {
  return parseWith(installBodySchema, body);
}

/** Throws InputError that points to every field at fault. */
export function parseCorrectionBody(body: unknown): CorrectionBody {
  return parseWith(correctionBodySchema, body);
}

const measuredRowsSchema = z.array(measuredRowSchema).min(1).max(MAX_MEASURED_LINKS);

/** The rows of a file of measured links. Throws InputError that points to every field at fault. */
export function parseMeasuredRows(value: unknown): MeasuredRow[] {
  return parseWith(measuredRowsSchema, value);
}
