import { z } from "zod";
import { antennaSchema, lobePower } from "./antenna-schema.ts";
import {
  channelSchema,
  cpeSchema,
  emitterSchema,
  modelSchema,
  sectorSchema,
  siteSchema,
  subscriberSchema,
} from "./coverage-request.ts";
import { describeId, id } from "./field-schemas.ts";
import { planSchema } from "./traffic-schemas.ts";

const sectorFields = sectorSchema.shape;
const cpeFields = cpeSchema.shape;
const planFields = planSchema.shape;
const sector = describeId("the sector that is changed");
/** An antenna of the request, or one that the change brings along. */
const antenna = z.union([id, antennaSchema]).describe("Id of an antenna of the base, or a new antenna");

/** One of the sectors that take a sector's place. */
const partSchema = z.strictObject({
  id,
  azimuthDeg: sectorFields.azimuthDeg,
  antenna,
  channel: channelSchema.optional().describe("Channel of this part; if absent, that of the sector that is split"),
});

/** One change of a network, as a comparison makes it. */
export const changeSchema = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("swap-antenna").describe("Another antenna on a sector"),
    sector,
    antenna,
  }),
  z.strictObject({
    kind: z.literal("turn").describe("Another azimuth"),
    sector,
    azimuthDeg: sectorFields.azimuthDeg,
  }),
  z.strictObject({
    kind: z.literal("tilt").describe("Another mechanical downtilt"),
    sector,
    downtiltDeg: sectorFields.downtiltDeg
      .removeDefault()
      .describe("The new mechanical downtilt, degrees; positive points below the horizon"),
  }),
  z.strictObject({
    kind: z.literal("height").describe("Another height of a sector's antenna"),
    sector,
    heightAglM: sectorFields.heightAglM,
  }),
  z.strictObject({
    kind: z.literal("channel").describe("Another channel"),
    sector,
    channel: channelSchema.describe("The new channel"),
  }),
  z.strictObject({ kind: z.literal("power").describe("Another power"), sector, powerDbm: sectorFields.powerDbm }),
  z.strictObject({
    kind: z.literal("feeder").describe("Another feeder"),
    sector,
    feederLossDb: z.number().min(0).max(30).describe("Loss of the new feeder, dB"),
  }),
  z.strictObject({
    kind: z
      .literal("split")
      .describe("Several sectors in place of one; subscribers go to the part that points at them best"),
    sector,
    into: z.array(partSchema).min(2).max(12).describe("The sectors that take its place"),
  }),
  z.strictObject({
    kind: z.literal("add-sector").describe("One more sector"),
    sector: sectorSchema.extend({ antenna }).describe("The new sector"),
    site: siteSchema.optional().describe("Its site, where that is new too"),
  }),
  z.strictObject({
    kind: z.literal("remove-sector").describe("One sector less, with its subscribers"),
    sector: describeId("the sector that is removed"),
  }),
  z.strictObject({
    kind: z.literal("move-site").describe("Another place of a mast, with all its sectors"),
    site: describeId("the site that is moved"),
    lon: siteSchema.shape.lon,
    lat: siteSchema.shape.lat,
  }),
  z
    .strictObject({
      kind: z.literal("cpe").describe("Another subscriber radio (CPE) at every place: the fields that are given"),
      antenna: antenna.optional(),
      radio: cpeFields.radio.optional(),
      heightAglM: cpeFields.heightAglM.optional(),
      powerDbm: cpeFields.powerDbm.optional(),
      feederLossDb: cpeFields.feederLossDb.removeDefault().optional().describe("Loss of the new feeder, dB"),
      mount: cpeFields.mount,
      heightAboveRoofM: cpeFields.heightAboveRoofM
        .removeDefault()
        .optional()
        .describe("Height of a roof mount above the roof, m"),
    })
    .refine((change) => Object.keys(change).length > 1, "give at least one field of the CPE"),
  z.strictObject({
    kind: z.literal("plan").describe("Other speeds of a plan"),
    plan: describeId("the plan that is changed"),
    downMbps: planFields.downMbps,
    upMbps: planFields.upMbps,
  }),
  z.strictObject({
    kind: z.literal("subscriber-plan").describe("Another plan of a subscriber"),
    subscriber: describeId("the subscriber"),
    plan: describeId("the plan that is sold to the subscriber after the change"),
  }),
  z.strictObject({
    kind: z.literal("add-subscribers").describe("More subscribers: their demand and their uplink"),
    subscribers: z.array(subscriberSchema).min(1).max(5000).describe("The new subscribers"),
  }),
  z.strictObject({
    kind: z.literal("add-emitter").describe("One more external emitter"),
    emitter: emitterSchema.describe("The new emitter"),
  }),
  z.strictObject({
    kind: z.literal("timing").describe("Another timing group"),
    sector,
    timingGroup: sectorFields.timingGroup.removeDefault().describe("Name of the new timing group"),
  }),
  z.strictObject({
    kind: z.literal("without-lobes").describe("The sector's antenna without its side lobes: what they cost"),
    sector,
    power: lobePower,
  }),
  z.strictObject({
    kind: z.literal("obstacle-cap").describe("Another level of scatter by obstacles"),
    obstacleCapDb: modelSchema.shape.obstacleCapDb
      .removeDefault()
      .describe("The new level of scatter, dB below the peak by class of the path; null: none"),
  }),
]);

export const changesSchema = z.array(changeSchema).min(1).max(64);

export type Change = z.output<typeof changeSchema>;
export type ChangeOf<Kind extends Change["kind"]> = Extract<Change, { kind: Kind }>;
