import type { AntennaDescription } from "@fellmark/antenna";
import { z } from "zod";
import { describeChoice, describeDb, id } from "./field-schemas.ts";

/** Every kind of antenna in a sentence. */
export const ANTENNA_KINDS: Readonly<Record<AntennaDescription["kind"], string>> = {
  isotropic: "equal gain in all directions",
  tr38901: "sector antenna of 3GPP TR 38.901, table 7.3-1: 65 by 65 degrees, 8 dBi",
  cuts: "measured horizontal and vertical cuts",
  "patch-array": "rows and columns of patches, computed from dimensions",
  horn: "conical horn, computed from dimensions",
  "pyramidal-horn": "pyramidal horn, computed from dimensions",
  dish: "reflector antenna, computed from dimensions",
  f1336: "sectoral reference pattern of ITU-R F.1336",
  f699: "reference envelope of a directional antenna, ITU-R F.699: refused where interference is summed",
  f1245: "average reference pattern of a directional antenna, ITU-R F.1245",
  exchange: "text of a pattern file in the NSMA exchange format",
  csv: "text of a pattern file with the columns cut, angleDeg, gainDbi, polarisation",
  shrouded: "another antenna with a shroud that shields its back",
  "without-lobes": "another antenna without its side lobes",
};

/** [angleDeg, level in dB relative to the peak] */
const cutPoint = z
  .tuple([z.number().min(-180).max(360), describeDb(-120, 0)])
  .describe("[angle in degrees, level in dB relative to the peak]");
const gainDbi = (min: number, max: number) => describeDb(min, max).describe("Gain at the peak, dBi");

const cuts = {
  gainDbi: gainDbi(-10, 60),
  horizontal: z
    .array(cutPoint)
    .min(2)
    .max(3600)
    .describe("Horizontal cut through the peak: [azimuth off boresight in degrees, level in dB], angles rising"),
  vertical: z
    .array(cutPoint)
    .min(2)
    .max(3600)
    .describe("Vertical cut through the peak: [elevation in degrees, level in dB], angles rising"),
};
const sizeM = (what: string) => z.number().min(0.005).max(10).describe(`${what}, m`);
const lossDb = describeDb(0, 20).optional().describe("Ohmic and feed loss, dB; if absent, 0");
const electricalDowntiltDeg = z
  .number()
  .min(-30)
  .max(30)
  .optional()
  .describe("Electrical downtilt, degrees; positive points below the horizon; if absent, 0");

const taperSchema = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("uniform").describe("Equal amplitudes") }),
  z.strictObject({
    kind: z.literal("cosine").describe("Amplitudes that fall to the edge as a cosine on a pedestal"),
    pedestalDb: describeDb(0, 60).describe("Amplitude at the edge, dB below that in the middle"),
  }),
  z.strictObject({
    kind: z.literal("chebyshev").describe("Amplitudes that make all side lobes equal"),
    sideLobeDb: describeDb(10, 60).describe("Level of the side lobes, dB below the peak"),
  }),
]);

/** Fields of an antenna that is computed from its build. */
const synthesis = {
  idealLobes: z
    .boolean()
    .optional()
    .describe("True: without the errors of a real build and the scatter of a mast; if absent, false"),
  seed: z.int().min(0).max(4_294_967_295).optional().describe("Seed of the errors of the build; if absent, 1"),
};

/** Every kind of antenna without others inside; `extra` is what stands beside the kind. */
function listPlainAntennas<Extra extends z.ZodRawShape>(extra: Extra) {
  return [
    z.strictObject({
      ...extra,
      kind: z.literal("isotropic").describe(ANTENNA_KINDS.isotropic),
      gainDbi: gainDbi(-10, 60),
    }),
    z.strictObject({ ...extra, kind: z.literal("tr38901").describe(ANTENNA_KINDS.tr38901) }),
    z.strictObject({ ...extra, kind: z.literal("cuts").describe(ANTENNA_KINDS.cuts), ...cuts }),
    z.strictObject({
      ...extra,
      kind: z.literal("patch-array").describe(ANTENNA_KINDS["patch-array"]),
      columns: z.int().min(1).max(64).describe("Number of columns of patches"),
      rows: z.int().min(1).max(64).describe("Number of rows of patches"),
      columnSpacingM: sizeM("Distance between columns"),
      rowSpacingM: sizeM("Distance between rows"),
      columnTaper: taperSchema.optional().describe("Amplitudes over the columns; if absent, uniform"),
      rowTaper: taperSchema.optional().describe("Amplitudes over the rows; if absent, uniform"),
      electricalDowntiltDeg,
      designFrequencyGhz: z
        .number()
        .min(0.4)
        .max(70)
        .describe("Frequency at which the phases make the electrical downtilt, GHz"),
      feedLossDb: lossDb,
      ...synthesis,
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("horn").describe(ANTENNA_KINDS.horn),
      form: describeChoice("Field in the mouth", {
        conical: "of the smooth wall's lowest mode",
        "dual-mode": "of two modes that make equal beams in both planes",
        corrugated: "of the hybrid mode of a corrugated wall",
      }),
      diameterM: sizeM("Diameter of the mouth"),
      slantLengthM: sizeM("Length from the apex of the cone to the rim"),
      lossDb,
      ...synthesis,
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("pyramidal-horn").describe(ANTENNA_KINDS["pyramidal-horn"]),
      widthM: sizeM("Width of the mouth, in the H plane of port 1 (vertical polarisation)"),
      heightM: sizeM("Height of the mouth, in the E plane of port 1"),
      slantLengthHM: sizeM("Length from the apex to the rim in the H plane"),
      slantLengthEM: sizeM("Length from the apex to the rim in the E plane"),
      lossDb,
      ...synthesis,
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("dish").describe(ANTENNA_KINDS.dish),
      diameterM: sizeM("Diameter of the reflector"),
      focalRatio: z.number().min(0.2).max(3).describe("Focal length over diameter"),
      edgeTaperDb: describeDb(0, 40).describe("Illumination of the rim, dB below that of the centre"),
      blockageDiameterM: z
        .number()
        .min(0)
        .max(5)
        .optional()
        .describe("Diameter of the feed in front of the reflector, m; if absent, 0"),
      surfaceRmsM: z
        .number()
        .min(0)
        .max(0.05)
        .optional()
        .describe("Root mean square error of the reflector's surface, m; if absent, 0"),
      lossDb,
      ...synthesis,
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("f1336").describe(ANTENNA_KINDS.f1336),
      gainDbi: gainDbi(0, 40),
      azimuthWidthDeg: z.number().min(1).max(360).describe("Half-power beam width in azimuth, degrees"),
      elevationWidthDeg: z
        .number()
        .min(0.5)
        .max(90)
        .optional()
        .describe("Half-power beam width in elevation, degrees; if absent, from the gain and the azimuth width"),
      form: describeChoice("Form of the pattern", {
        peak: "envelope of the side lobes: refused where interference is summed",
        average: "mean of the side lobes",
      }),
      electricalDowntiltDeg,
    }),
    z.strictObject({
      ...extra,
      kind: z.enum(["f699", "f1245"]).describe(`\`f699\`: ${ANTENNA_KINDS.f699}; \`f1245\`: ${ANTENNA_KINDS.f1245}`),
      gainDbi: gainDbi(0, 70),
      diameterM: sizeM("Diameter of the antenna"),
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("exchange").describe(ANTENNA_KINDS.exchange),
      text: z.string().max(1_000_000).describe("The text of the file"),
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("csv").describe(ANTENNA_KINDS.csv),
      text: z.string().max(1_000_000).describe("The text of the file"),
      gainDbi: gainDbi(-10, 60),
    }),
  ] as const;
}

/** Destination of the power of side lobes that are removed. */
export const lobePower = describeChoice("Power of the side lobes that are removed", {
  "peak-kept": "is lost: the gain of the main beam stays",
  renormalised: "goes into the main beam",
});

/** Kinds that change another antenna, which is given whole. */
function listChangedAntennas<Extra extends z.ZodRawShape, Base extends z.ZodType>(extra: Extra, base: Base) {
  return [
    z.strictObject({
      ...extra,
      kind: z.literal("shrouded").describe(ANTENNA_KINDS.shrouded),
      base: base.describe("The antenna without the shroud"),
      fromDeg: z.number().min(10).max(180).describe("Angle off boresight from which the shroud shields, degrees"),
      reductionDb: describeDb(0, 60).describe("Reduction of the level behind that angle, dB"),
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("without-lobes").describe(ANTENNA_KINDS["without-lobes"]),
      base: base.describe("The antenna with its side lobes"),
      power: lobePower,
    }),
  ] as const;
}

const plainAntenna = z.discriminatedUnion("kind", listPlainAntennas({}));
const innerAntenna = z.discriminatedUnion("kind", [...listPlainAntennas({}), ...listChangedAntennas({}, plainAntenna)]);
export const antennaSchema = z
  .discriminatedUnion("kind", [...listPlainAntennas({ id }), ...listChangedAntennas({ id }, innerAntenna)])
  .meta({ id: "Antenna" });

export type AntennaSpec = z.output<typeof antennaSchema>;

/** Every antenna that the schema lets pass is one that the antenna package can build: the compiler holds this. */
export function toDescription({ id: _id, ...description }: AntennaSpec): AntennaDescription {
  return description;
}
