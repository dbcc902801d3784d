import { z } from "zod";
import { antennaSchema } from "./antenna-schema.ts";
import { channelSchema, emitterSchema, modelSchema, sectorSchema, siteSchema } from "./coverage-request.ts";
import { id } from "./field-schemas.ts";

const sectorFields = sectorSchema.shape;

/** One of the sectors that take a sector's place. Without a channel of its own it keeps that of the whole. */
const partSchema = z.strictObject({
  id,
  azimuthDeg: sectorFields.azimuthDeg,
  antenna: id,
  channel: channelSchema.optional(),
});

/** One change of a network, as a comparison makes it. */
export const changeSchema = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("swap-antenna"), sector: id, antenna: z.union([id, antennaSchema]) }),
  z.strictObject({ kind: z.literal("turn"), sector: id, azimuthDeg: sectorFields.azimuthDeg }),
  z.strictObject({ kind: z.literal("tilt"), sector: id, downtiltDeg: z.number().min(-30).max(30) }),
  z.strictObject({ kind: z.literal("channel"), sector: id, channel: channelSchema }),
  z.strictObject({ kind: z.literal("power"), sector: id, powerDbm: sectorFields.powerDbm }),
  z.strictObject({ kind: z.literal("feeder"), sector: id, feederLossDb: z.number().min(0).max(30) }),
  z.strictObject({ kind: z.literal("split"), sector: id, into: z.array(partSchema).min(2).max(12) }),
  z.strictObject({ kind: z.literal("add-sector"), sector: sectorSchema, site: siteSchema.optional() }),
  z.strictObject({ kind: z.literal("remove-sector"), sector: id }),
  z.strictObject({ kind: z.literal("add-emitter"), emitter: emitterSchema }),
  z.strictObject({ kind: z.literal("timing"), sector: id, timingGroup: z.string().max(64) }),
  z.strictObject({ kind: z.literal("without-lobes"), sector: id, power: z.enum(["peak-kept", "renormalised"]) }),
  z.strictObject({
    kind: z.literal("obstacle-cap"),
    obstacleCapDb: modelSchema.shape.obstacleCapDb.removeDefault(),
  }),
]);

export const changesSchema = z.array(changeSchema).min(1).max(64);

export type Change = z.output<typeof changeSchema>;
export type ChangeOf<Kind extends Change["kind"]> = Extract<Change, { kind: Kind }>;
