import { trafficSchema } from "@fellmark/network";
import { z } from "zod";
import {
  channel,
  count,
  formatVersion,
  makeNullable,
  modelVersion,
  refusedFiles,
  terrainFingerprint,
  warnings,
} from "../http/reply-parts.ts";
import { sectorCapacity } from "./capacity-schema.ts";

const p10Mbps = (direction: string) =>
  z.number().describe(`10th percentile of the ${direction} rate over its places, after margins, Mbit/s`);

const channelReport = z.object({
  channel: channel.describe("The channel"),
  sinrDownDb: makeNullable(
    z.number().describe("10th percentile of the downstream SINR, dB"),
    "the sector serves no place",
  ),
  sinrUpDb: makeNullable(z.number().describe("10th percentile of the upstream SINR, dB"), "the sector serves no place"),
  downMbps: p10Mbps("downstream"),
  upMbps: p10Mbps("upstream"),
  overlaps: count("neighbours on the same site whose channel overlaps"),
  isDfs: z.boolean().describe("True: a DFS channel, which a radar may close"),
  fallback: channel
    .nullable()
    .describe("DFS fallback: where to go when a radar is found; null: none is left or needed"),
});

const planReport = z.object({
  downMbps: z.number().describe("Sum over the sectors of the 10th percentile of the downstream rate, Mbit/s"),
  upMbps: z.number().describe("Sum over the sectors of the 10th percentile of the upstream rate, Mbit/s"),
  overlaps: z
    .array(z.tuple([z.string(), z.string()]))
    .describe("Ids of neighbouring sectors of one site whose channels overlap"),
});

const loadedCapacity = z.object({
  unloaded: sectorCapacity.describe("With all other sectors silent"),
  loaded: sectorCapacity.describe("With all other sectors at their load"),
});

const sectorAdvice = z.object({
  id: z.string().describe("Id of the sector"),
  places: count("places that it serves"),
  today: channelReport.describe("Its channel of today"),
  chosen: channelReport.describe("Its channel by the channel plan, all others on theirs"),
  ranking: z.array(channelReport).describe("Channels for it alone, all others as today, best first"),
  refused: z
    .array(
      z.object({
        channel: channel.describe("The channel"),
        reason: z.string().describe("Reason why it cannot be used"),
      }),
    )
    .describe("Channels that it cannot use"),
  capacity: z
    .object({ today: loadedCapacity.describe("Today"), chosen: loadedCapacity.describe("By the channel plan") })
    .describe("What it can deliver"),
});

/** The file summary.json of channel advice. */
export const adviceSummarySchema = z
  .object({
    version: formatVersion,
    id: z.string().describe("Id of the job"),
    name: z.string().describe("Name of the base"),
    model: modelVersion,
    terrain: z
      .object({ fingerprint: terrainFingerprint, refused: refusedFiles })
      .describe("Terrain that the advice rests on"),
    seed: z.int().describe("Seed of the search"),
    traffic: trafficSchema.describe("Demand and growth that the capacities assume"),
    sectors: z.array(sectorAdvice).describe("Every sector that may change"),
    today: planReport.describe("All sectors on their channels of today"),
    chosen: planReport.describe("All sectors by the channel plan"),
    changes: count("sectors that change their channel"),
    rateFactor: z
      .number()
      .describe("Geometric mean over sectors and directions of the 10th percentile rates, chosen over today's"),
    isCutShort: z.boolean().describe("True: the search ended at its limit, so that a better plan may exist"),
    warnings,
  })
  .meta({ id: "AdviceSummary" });
