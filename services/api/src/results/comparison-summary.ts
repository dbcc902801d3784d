import { changesSchema, trafficSchema } from "@fellmark/network";
import { z } from "zod";
import {
  count,
  formatVersion,
  lattice,
  makeNullable,
  modelVersion,
  refusedFiles,
  terrainFingerprint,
  warnings,
} from "../http/reply-parts.ts";
import { sectorCapacity } from "./capacity-schema.ts";

const km2 = (what: string) => z.number().min(0).describe(`${what}, km2`);

const sinrChange = z.object({
  meanDb: z.number().describe("Mean change, dB"),
  p10Db: z.number().describe("10th percentile of the change, dB"),
  p90Db: z.number().describe("90th percentile of the change, dB"),
});
const sinrDown = sinrChange.nullable().describe("Change of the downstream SINR; null: no cell is served both times");
const sinrUp = sinrChange.nullable().describe("Change of the upstream SINR; null: no cell is served both times");

const tierChange = z.object({
  plan: z.string().describe("Id of the plan"),
  gainedKm2: km2("Ground that gets this plan or a better one"),
  lostKm2: km2("Ground that loses it"),
  beforeKm2: km2("Ground with this plan or a better one before"),
  afterKm2: km2("Ground with this plan or a better one after"),
  premises: z
    .object({
      before: count("premises before"),
      after: count("premises after"),
      gained: count("premises that get it"),
      lost: count("premises that lose it"),
    })
    .nullable()
    .describe("Premises with this plan or a better one; null: none were given"),
});

const sectorState = z.object({
  servedCells: count("cells whose best server it is"),
  noiseUpDbm: z.number().describe("Mean noise and interference at its receiver, dBm"),
  capacity: sectorCapacity.describe("What it can deliver"),
});

const sectorChange = z.object({
  id: z.string().describe("Id of the sector"),
  before: sectorState.nullable().describe("State before the changes; null: the sector is new"),
  after: sectorState.nullable().describe("State after the changes; null: the sector is removed"),
  lostCells: count("cells that it served with a plan and that no sector serves after the changes"),
  sinrDown,
  sinrUp,
});

const harm = z.object({
  subscriber: z.string().describe("Id of the subscriber"),
  planBefore: z.string().nullable().describe("Best plan before; null: none"),
  planAfter: z.string().nullable().describe("Best plan after; null: none"),
  sinrDownChangeDb: makeNullable(
    z.number().describe("Change of the downstream SINR, dB"),
    "no sector reaches the place",
  ),
  sinrUpChangeDb: makeNullable(z.number().describe("Change of the upstream SINR, dB"), "no sector reaches the place"),
});

const overlap = z.object({
  sectors: z.tuple([z.string(), z.string()]).describe("Ids of two neighbours of one site"),
  azimuthDeg: z.number().describe("Azimuth of equal gain between them, degrees from true north"),
  isSameChannel: z.boolean().describe("True: both use the same channel"),
  places: z
    .array(
      z.object({
        offDeg: z.number().describe("Angle from that azimuth toward the first sector, degrees"),
        ciDb: z.number().describe("Ratio of the stronger to the other on their channels, dB"),
        ciOnOneChannelDb: z.number().describe("The same ratio if both used one channel, dB"),
      }),
    )
    .describe("Ratios near that azimuth"),
  ground: z
    .object({
      cells: count("cells near that azimuth which either sector serves"),
      servedCells: count("cells of these with a plan"),
      meanSinrDownDb: makeNullable(z.number().describe("Mean downstream SINR of these, dB"), "there are none"),
    })
    .describe("Ground near that azimuth"),
});

const cellChanges = z
  .object({
    gained: count("cells that get a plan"),
    lost: count("cells that lose every plan"),
    betterPlan: count("cells that get a better plan"),
    worsePlan: count("cells that get a worse plan"),
    unchanged: count("all other cells with elevation, served or not"),
  })
  .describe("Cells by change");

const doNoHarm = z
  .object({
    passes: z.boolean().describe("True: no subscriber is harmed"),
    subscribers: count("subscribers of the base"),
    notJudged: count("subscribers outside the area or without elevation"),
    harmed: z
      .array(harm)
      .describe("Subscribers who lose a plan, every server, or more than 3 dB of SINR in one direction"),
  })
  .describe("Effect on existing subscribers");

const step = z.object({
  change: count("changes before this one: its index"),
  kind: z.string().describe("Kind of the change"),
  cells: cellChanges,
  tiers: z.array(tierChange).describe("Change by plan"),
  sinrDown,
  sinrUp,
  doNoHarm,
});

const obstacleCap = z
  .object({
    clear: z.number().describe("On paths with line of sight, dB below the peak"),
    grazing: z.number().describe("On paths whose first Fresnel zone is obstructed, dB below the peak"),
    blocked: z.number().describe("On paths without line of sight, dB below the peak"),
  })
  .nullable();

/** The file summary.json of a comparison. */
export const comparisonSummarySchema = z
  .object({
    version: formatVersion,
    id: z.string().describe("Id of the job"),
    name: z.string().describe("Name of the base"),
    model: modelVersion,
    terrain: z
      .object({ fingerprint: terrainFingerprint, refused: refusedFiles })
      .describe("Terrain that the comparison rests on"),
    lattice: lattice.describe("Place of the cells on the web-map pyramid"),
    changes: changesSchema.describe("Changes, in the order in which they were made"),
    traffic: trafficSchema.describe("Demand and growth that the capacities assume"),
    obstacleCapDb: z
      .object({
        before: obstacleCap.describe("Before the changes; null: none"),
        after: obstacleCap.describe("After the changes; null: none"),
      })
      .describe("Level of scatter by obstacles"),
    cells: cellChanges,
    tiers: z.array(tierChange).describe("Change by plan"),
    sinrDown,
    sinrUp,
    sectors: z.array(sectorChange).describe("Every sector that is there before or after"),
    doNoHarm,
    overlaps: z
      .object({
        before: z.array(overlap).describe("Before the changes"),
        after: z.array(overlap).describe("After the changes"),
      })
      .describe("Overlap of neighbouring sectors of one site"),
    steps: z.array(step).nullable().describe("Effect of each change after those before it; null: not asked for"),
    warnings,
  })
  .meta({ id: "ComparisonSummary" });
