import { CABLES } from "@fellmark/radio";
import { z } from "zod";
import { antennaSchema } from "./antenna-schema.ts";
import { db, heightAglM, id, place, setName } from "./field-schemas.ts";
import { clutterSchema, correctionSchema, fadingSchema } from "./model-schemas.ts";

export const radioSchema = z.strictObject({
  id,
  table: z.enum(["802.11ac", "802.11ax"]),
  streams: z.int().min(1).max(2).default(2),
  noiseFigureDb: db(0, 20).default(6),
  downShare: z.number().min(0.05).max(0.95).default(0.75),
  macEfficiency: z.number().min(0.1).max(1).default(0.75),
  implementationDb: db(0, 10).default(2),
  /** Length of a frame and guard between its halves: what a timing group has in common, with the share. */
  frameMs: z.number().min(0.5).max(100).default(5),
  guardUs: z.number().min(0).max(5000).default(100),
  /** What the transmitter leaks and the receiver rejects in the next channel; absent: by the standard. */
  acirDb: z.strictObject({ leakageDb: db(0, 100), selectivityDb: db(0, 100) }).optional(),
  /** Greatest power at single rates, by the index of the modulation. */
  powerByRate: z
    .array(z.strictObject({ index: z.int().min(0).max(11), powerDbm: db(-20, 40) }))
    .max(12)
    .optional(),
});

export const channelSchema = z.strictObject({
  centreMhz: z.number().min(2400).max(7125),
  widthMhz: z.literal([20, 40, 80, 160]),
});

/** Fields of a transmitter that sectors and kits share. */
const transmitter = {
  antenna: id,
  radio: id,
  heightAglM,
  powerDbm: db(-20, 40),
  chains: z.literal([1, 2]).default(2),
  feederLossDb: db(0, 30).default(0),
  connectorLossDb: db(0, 10).default(0),
  /** The feeder as it is built, in place of its loss. */
  feeder: z
    .strictObject({
      cable: z.enum(CABLES.map((cable) => cable.id)),
      lengthM: z.number().min(0).max(200),
      connectors: z.int().min(0).max(20),
    })
    .optional(),
  /** Two crossed polarisations put the same power into either port of the other end, whatever the basis of both. */
  polarisationBasis: z.enum(["hv", "slant45"]).default("hv"),
  noiseRiseDb: db(0, 60).default(0),
  rule: z.string().max(64).nullable().default(null),
};

export const sectorSchema = z.strictObject({
  id,
  site: id,
  ...transmitter,
  azimuthDeg: z.number().min(0).lt(360),
  downtiltDeg: z.number().min(-30).max(30).default(0),
  /** Turn about boresight, clockwise seen from behind. */
  rollDeg: z.number().min(-180).max(180).default(0),
  channel: channelSchema,
  timingGroup: z.string().max(64).default("default"),
  load: z.number().min(0).max(1).default(1),
});

export const kitSchema = z.strictObject({
  ...transmitter,
  maxHeightAglM: heightAglM.optional(),
  pointingLossDb: db(0, 20).default(1),
});

export const siteSchema = z.strictObject({
  id,
  ...place,
});

export const planSchema = z.strictObject({
  id,
  downMbps: z.number().positive().max(10_000),
  upMbps: z.number().positive().max(10_000),
});

export const areaSchema = z.strictObject({
  radiusM: z.number().min(100).max(60_000),
  cellM: z.number().min(2).max(1000).optional(),
  zoom: z.int().min(6).max(16).optional(),
});

export const modelSchema = z.strictObject({
  earthRadiusFactor: z
    .number()
    .min(0.5)
    .max(10)
    .default(4 / 3),
  gas: z.boolean().default(true),
  availability: z.number().min(0.5).max(0.99999).default(0.999),
  confidence: z.number().min(0.5).max(0.99).default(0.9),
  clutter: clutterSchema.default({ class: "unknown" }),
  /** How clutter counts: as a loss at the ends, or as ground that interior points of the path are raised by. */
  method: z.enum(["terrain-clutter", "p1812"]).default("terrain-clutter"),
  /** Whether trees bear leaves. */
  leaf: z.enum(["in", "out"]).default("in"),
  /** By which law a ray that goes through trees is weakened. */
  foliage: z.enum(["weissberger", "p833"]).default("weissberger"),
  fading: fadingSchema.prefault({}),
  /** What the provider's own measured links taught; null: the model as it is. */
  correction: correctionSchema.nullable().default(null),
  /**
   * Level below an antenna's peak that obstacles scatter into every direction, dB, by class of the path; null: none.
   * Provisional, no source.
   */
  obstacleCapDb: z
    .strictObject({ clear: db(0, 100), grazing: db(0, 100), blocked: db(0, 100) })
    .nullable()
    .default({ clear: 35, grazing: 20, blocked: 15 }),
  /** Least isolation between two sectors of one mast, dB. Common practice, no source. */
  coSiteIsolationDb: db(0, 150).default(50),
});

export const terrainSchema = z.strictObject({
  sets: z.array(setName).min(1).max(16).default(["default"]),
  fillVoids: z.boolean().default(false),
});

/** Somebody else's transmitter. Without an antenna it sends equally in all directions. */
export const emitterSchema = z.strictObject({
  id,
  ...place,
  heightAglM,
  /** At the peak of its antenna, total over polarisations. */
  eirpDbm: db(-40, 90),
  channel: z.strictObject({ centreMhz: z.number().min(2400).max(7125), widthMhz: z.number().min(1).max(320) }),
  /** Share of the time that it sends. */
  activity: z.number().min(0).max(1).default(1),
  antenna: id.optional(),
  azimuthDeg: z.number().min(0).lt(360).optional(),
  downtiltDeg: z.number().min(-90).max(90).optional(),
});

/** Levels measured at a site by bearing and frequency. */
export const scanSchema = z.strictObject({
  id,
  site: id,
  heightAglM,
  /** The scan's own antenna: one of the request, or gain and half-power width. */
  antenna: z.union([id, z.strictObject({ gainDbi: db(-10, 60), widthDeg: z.number().min(1).max(360) })]),
  resolutionMhz: z.number().min(0.01).max(160),
  polarisation: z.union([z.literal(0), z.literal(1), z.literal("both")]),
  statistic: z.enum(["median", "p90", "peak-hold"]),
  at: z.iso.datetime({ offset: true }),
  elevationDeg: z.number().min(-90).max(90).default(0),
  readings: z
    .array(
      z.strictObject({
        azimuthDeg: z.number().min(0).lt(360),
        centreMhz: z.number().min(2400).max(7125),
        levelDbm: db(-200, 30),
      }),
    )
    .min(1)
    .max(20_000),
});

/** Isolation measured between two sectors of one mast. */
export const isolationSchema = z.strictObject({ sectors: z.tuple([id, id]), isolationDb: db(0, 150) });

export const subscriberSchema = z.strictObject({
  id,
  sector: id,
  ...place,
  kit: id.optional(),
  heightAglM: heightAglM.optional(),
  plan: id,
  premises: z.string().max(200).optional(),
  measured: z.strictObject({ signalDbm: db(-200, 30), at: z.iso.datetime({ offset: true }) }).optional(),
});

/** How much a coverage maps at once; a network may be larger. */
export const COVERAGE_LIMITS = { sites: 64, sectors: 128 } as const;

/** The body of POST /v1/coverages and REQUEST.json of the command line. Unknown keys are refused by name. */
export const coverageRequestSchema = z.strictObject({
  version: z.literal(1),
  name: z.string().max(200).default(""),
  area: areaSchema,
  quality: z.enum(["accurate", "preview"]).default("accurate"),
  terrain: terrainSchema.prefault({}),
  model: modelSchema.prefault({}),
  sites: z.array(siteSchema).min(1).max(COVERAGE_LIMITS.sites),
  antennas: z.array(antennaSchema).min(1).max(256),
  radios: z.array(radioSchema).min(1).max(64),
  sectors: z.array(sectorSchema).min(1).max(COVERAGE_LIMITS.sectors),
  kit: kitSchema,
  plans: z.array(planSchema).min(1).max(32),
  emitters: z.array(emitterSchema).max(256).default([]),
  scans: z.array(scanSchema).max(256).default([]),
  isolations: z.array(isolationSchema).max(1000).default([]),
  subscribers: z.array(subscriberSchema).max(20_000).default([]),
  outputs: z.array(z.enum(["tiers", "rasters", "png"])).default(["tiers", "rasters", "png"]),
});

export type CoverageRequest = z.output<typeof coverageRequestSchema>;
export type SiteSpec = CoverageRequest["sites"][number];
export type SectorSpec = CoverageRequest["sectors"][number];
export type KitSpec = CoverageRequest["kit"];
export type RadioSpec = CoverageRequest["radios"][number];
export type PlanSpec = CoverageRequest["plans"][number];
export type EmitterSpec = CoverageRequest["emitters"][number];
export type ScanSpec = CoverageRequest["scans"][number];
export type SubscriberSpec = CoverageRequest["subscribers"][number];
export type ModelSpec = CoverageRequest["model"];
export type ClutterSpec = ModelSpec["clutter"];
