import { CLUTTER_ROWS, type EndClutterClass } from "@fellmark/propagation";
import { z } from "zod";
import { describeChoice, describeDb, setName } from "./field-schemas.ts";

/** Classes of clutter that may stand around every antenna alike, each in a few words. */
export const CLUTTER_MEANINGS: Readonly<Record<EndClutterClass, string>> = {
  unknown: "not known, no loss is counted",
  open: "open land",
  water: "water",
  suburban: "detached houses",
  urban: "town",
  "dense-urban": "city centre",
  trees: "woodland",
};

export const CLUTTER_CLASSES = Object.keys(CLUTTER_ROWS) as EndClutterClass[];

const oneClass = z.strictObject({
  class: describeChoice("Class of clutter around every antenna", CLUTTER_MEANINGS),
  heightM: z.number().min(0).max(100).optional().describe("Height of the clutter, m; if absent, that of the class"),
});

/** Built-up country by its statistics alone: a share of the CPEs loses no more. */
const statistical = z.strictObject({
  class: z.literal("statistical").describe("Built-up country by the statistics of ITU-R P.2108-1, section 3.2"),
  locationShare: z
    .number()
    .min(0.01)
    .max(0.99)
    .default(0.5)
    .describe("Share of the CPE that lose no more than what is counted"),
});

const sources = {
  landCover: setName.exactOptional().describe("Set of land-cover classes"),
  heights: z
    .record(z.string().regex(/^\d{1,5}$/), z.number().min(0).max(100))
    .exactOptional()
    .describe("Height of single classes of land cover by their code, m; the others have that of the legend"),
  canopy: setName.exactOptional().describe("Set of measured heights of trees"),
  buildings: setName.exactOptional().describe("Set of measured heights of buildings"),
};

/** Rasters of what stands on the ground: the heights of buildings before those of trees before classes of land. */
const rasters = z
  .strictObject({
    /** None: else a wrong class would be called an unknown field. */
    class: z.never().optional().describe("Not together with sets of rasters"),
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

/** Knowledge of trees and houses: one class for all, a statistic, or rasters. */
export const clutterSchema = z.union([oneClass, statistical, rasters]);

/** The fading that the margin covers. */
export const fadingSchema = z.strictObject({
  rule: describeChoice("Law of multipath fading", {
    "vigants-barnett": "Vigants and Barnett, average terrain",
    p530: "ITU-R P.530",
  }).default("vigants-barnett"),
  rainMmPerHour: z
    .number()
    .min(0)
    .max(250)
    .default(0)
    .describe("Rain rate exceeded for 0.01 % of the time, mm/h; 0: rain is not counted"),
  leastMarginDb: describeDb(0, 40)
    .default(0)
    .describe("Least fade margin of every link, dB, however short; 0: what the law asks for alone"),
});

const pathClass = z.strictObject({
  offsetDb: describeDb(-100, 100).describe("Offset of the loss at referenceKm, dB"),
  slopeDbPerDecade: describeDb(-100, 100).describe("Change of that offset with each tenfold distance, dB"),
  sigmaDb: describeDb(0.5, 30)
    .nullable()
    .describe("Standard deviation of the error at places that were not measured, dB; null: there are too few links"),
  links: z.int().min(0).describe("Measured links of this class"),
});

const heldOut = {
  beforeRmseDb: z.number().min(0).describe("Root mean square error without the calibration, dB"),
  afterRmseDb: z.number().min(0).describe("Root mean square error with it, on links that it was not fitted to, dB"),
  gain: z.number().describe("Mean gain per link in Huber's loss, which no outlier dominates"),
  gainError: z.number().describe("Standard error of that gain"),
};

/** A fit to measured links, as it came out of it: see OwnDataCorrection of @fellmark/calibration. */
export const calibrationSchema = z.strictObject({
  version: z
    .string()
    .regex(/^c[0-9a-f]{16}$/)
    .describe("Name of its content: `c` and 16 hexadecimal digits"),
  referenceKm: z
    .number()
    .min(0.01)
    .max(100)
    .describe("Distance at which the offsets hold, km: the geometric mean of the links"),
  classes: z
    .partialRecord(z.enum(["clear", "grazing", "blocked"]), pathClass)
    .describe("Offsets by the class of the path: clear, grazing or blocked"),
  sectors: z
    .record(
      z.string().max(64),
      z.strictObject({
        biasDb: describeDb(-100, 100).describe("Further offset of the sector's links, dB"),
        links: z.int().min(0).describe("Measured links of the sector"),
      }),
    )
    .describe("Further offsets by the id of the sector"),
  influenceDb: describeDb(0, 100).describe("Greatest change of any offset if the level of one link changes, dB"),
  validation: z
    .strictObject({
      applied: z.boolean().describe("True: the calibration helped on links it was not fitted to, and is applied"),
      reason: z.string().max(1000).describe("Reason why it is applied or not"),
      leaveOneOut: z.strictObject(heldOut).nullable().describe("Test on each link, fitted to all others"),
      blocks: z
        .strictObject({
          ...heldOut,
          blockM: z.number().positive().describe("Side of a square of ground, m"),
          blocks: z.int().min(0).describe("Number of squares with links"),
        })
        .nullable()
        .describe("Test on each square of ground, fitted to all others"),
    })
    .describe("Whether the calibration helps on links that it was not fitted to"),
});
