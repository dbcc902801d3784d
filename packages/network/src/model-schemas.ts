import { CLUTTER_ROWS, type EndClutterClass } from "@fellmark/propagation";
import { z } from "zod";
import { db, setName } from "./field-schemas.ts";

/** What may stand around every antenna alike. */
export const CLUTTER_CLASSES = Object.keys(CLUTTER_ROWS) as EndClutterClass[];

const oneClass = z.strictObject({
  class: z.enum(CLUTTER_CLASSES),
  /** Default: that of the class. */
  heightM: z.number().min(0).max(100).optional(),
});

/** Built-up country by its statistics alone: a share of the kits loses no more. */
const statistical = z.strictObject({
  class: z.literal("statistical"),
  locationShare: z.number().min(0.01).max(0.99).default(0.5),
});

const sources = {
  landCover: setName.exactOptional(),
  /** Height of single classes of land, by their code, m; the others have that of the legend. */
  heights: z.record(z.string().regex(/^\d{1,5}$/), z.number().min(0).max(100)).exactOptional(),
  canopy: setName.exactOptional(),
  buildings: setName.exactOptional(),
};

/** Rasters of what stands on the ground: the heights of buildings before those of trees before classes of land. */
const rasters = z
  .strictObject({
    /** None: else a wrong class would be called an unknown field. */
    class: z.never().optional(),
    ...sources,
  })
  .refine(({ landCover, canopy, buildings }) => landCover ?? canopy ?? buildings, {
    error: "name a set: landCover, canopy or buildings",
  })
  .refine(({ landCover, heights }) => landCover !== undefined || heights === undefined, {
    error: "heights belong to landCover, which is not named",
    path: ["heights"],
  })
  .transform(({ class: _none, ...named }) => named)
  .pipe(z.strictObject(sources));

/** What is known of trees and houses: one class for all, a statistic, or rasters. */
export const clutterSchema = z.union([oneClass, statistical, rasters]);

/** What the margin for fading holds against. */
export const fadingSchema = z.strictObject({
  rule: z.enum(["vigants-barnett", "p530"]).default("vigants-barnett"),
  /** Rain rate exceeded for 0.01 % of the time, mm/h; 0: rain is left out. */
  rainMmPerHour: z.number().min(0).max(250).default(0),
});

const pathClass = z.strictObject({
  offsetDb: db(-100, 100),
  slopeDbPerDecade: db(-100, 100),
  /** Standard deviation of the error as measured, dB; null: too few links to tell. */
  sigmaDb: db(0.5, 30).nullable(),
  links: z.int().min(0),
});

const heldOut = {
  beforeRmseDb: z.number().min(0),
  afterRmseDb: z.number().min(0),
  gain: z.number(),
  gainError: z.number(),
};

/** A fit to measured links, as it came out of it: see OwnDataCorrection of @fellmark/calibration. */
export const correctionSchema = z.strictObject({
  version: z.string().regex(/^c[0-9a-f]{16}$/),
  referenceKm: z.number().min(0.01).max(100),
  classes: z.partialRecord(z.enum(["clear", "grazing", "blocked"]), pathClass),
  sectors: z.record(z.string().max(64), z.strictObject({ biasDb: db(-100, 100), links: z.int().min(0) })),
  influenceDb: db(0, 100),
  validation: z.strictObject({
    applied: z.boolean(),
    reason: z.string().max(1000),
    leaveOneOut: z.strictObject(heldOut).nullable(),
    blocks: z.strictObject({ ...heldOut, blockM: z.number().positive(), blocks: z.int().min(0) }).nullable(),
  }),
});
