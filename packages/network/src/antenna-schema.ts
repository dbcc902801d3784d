import type { AntennaDescription } from "@fellmark/antenna";
import { z } from "zod";
import { db, id } from "./field-schemas.ts";

/** [angleDeg, level in dB relative to the peak] */
const cutPoint = z.tuple([z.number().min(-180).max(360), db(-120, 0)]);

const cuts = {
  gainDbi: db(-10, 60),
  horizontal: z.array(cutPoint).min(2).max(3600),
  vertical: z.array(cutPoint).min(2).max(3600),
};
const sizeM = z.number().min(0.005).max(10);
const seed = z.int().min(0).max(4_294_967_295);

const taperSchema = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("uniform") }),
  z.strictObject({ kind: z.literal("cosine"), pedestalDb: db(0, 60) }),
  z.strictObject({ kind: z.literal("chebyshev"), sideLobeDb: db(10, 60) }),
]);

/** Fields of an antenna that is computed from its build. */
const synthesis = {
  /** Without the errors of a real build and the scatter of a mast. */
  idealLobes: z.boolean().optional(),
  seed: seed.optional(),
};

/** Every kind of antenna without others inside; `extra` is what stands beside the kind. */
function plainAntennas<Extra extends z.ZodRawShape>(extra: Extra) {
  return [
    z.strictObject({ ...extra, kind: z.literal("isotropic"), gainDbi: db(-10, 60) }),
    z.strictObject({ ...extra, kind: z.literal("tr38901") }),
    z.strictObject({ ...extra, kind: z.literal("cuts"), ...cuts }),
    z.strictObject({
      ...extra,
      kind: z.literal("patch-array"),
      columns: z.int().min(1).max(64),
      rows: z.int().min(1).max(64),
      columnSpacingM: sizeM,
      rowSpacingM: sizeM,
      columnTaper: taperSchema.optional(),
      rowTaper: taperSchema.optional(),
      electricalDowntiltDeg: z.number().min(-30).max(30).optional(),
      designFrequencyGhz: z.number().min(0.4).max(70),
      feedLossDb: db(0, 20).optional(),
      ...synthesis,
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("horn"),
      form: z.enum(["conical", "dual-mode", "corrugated"]),
      diameterM: sizeM,
      slantLengthM: sizeM,
      lossDb: db(0, 20).optional(),
      ...synthesis,
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("pyramidal-horn"),
      widthM: sizeM,
      heightM: sizeM,
      slantLengthHM: sizeM,
      slantLengthEM: sizeM,
      lossDb: db(0, 20).optional(),
      ...synthesis,
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("dish"),
      diameterM: sizeM,
      focalRatio: z.number().min(0.2).max(3),
      edgeTaperDb: db(0, 40),
      blockageDiameterM: z.number().min(0).max(5).optional(),
      surfaceRmsM: z.number().min(0).max(0.05).optional(),
      lossDb: db(0, 20).optional(),
      ...synthesis,
    }),
    z.strictObject({
      ...extra,
      kind: z.literal("f1336"),
      gainDbi: db(0, 40),
      azimuthWidthDeg: z.number().min(1).max(360),
      elevationWidthDeg: z.number().min(0.5).max(90).optional(),
      form: z.enum(["peak", "average"]),
      electricalDowntiltDeg: z.number().min(-30).max(30).optional(),
    }),
    z.strictObject({ ...extra, kind: z.enum(["f699", "f1245"]), gainDbi: db(0, 70), diameterM: sizeM }),
    z.strictObject({ ...extra, kind: z.literal("exchange"), text: z.string().max(1_000_000) }),
    z.strictObject({ ...extra, kind: z.literal("csv"), text: z.string().max(1_000_000), gainDbi: db(-10, 60) }),
  ] as const;
}

/** Kinds that change another antenna, which is given whole. */
function changedAntennas<Extra extends z.ZodRawShape, Base extends z.ZodType>(extra: Extra, base: Base) {
  return [
    z.strictObject({
      ...extra,
      kind: z.literal("shrouded"),
      base,
      fromDeg: z.number().min(10).max(180),
      reductionDb: db(0, 60),
    }),
    z.strictObject({ ...extra, kind: z.literal("without-lobes"), base, power: z.enum(["peak-kept", "renormalised"]) }),
  ] as const;
}

const plainAntenna = z.discriminatedUnion("kind", plainAntennas({}));
const innerAntenna = z.discriminatedUnion("kind", [...plainAntennas({}), ...changedAntennas({}, plainAntenna)]);
export const antennaSchema = z.discriminatedUnion("kind", [
  ...plainAntennas({ id }),
  ...changedAntennas({ id }, innerAntenna),
]);

export type AntennaSpec = z.output<typeof antennaSchema>;

/** Every antenna that the schema lets pass is one that the antenna package can build: the compiler holds this. */
export function descriptionOf({ id: _id, ...description }: AntennaSpec): AntennaDescription {
  return description;
}
