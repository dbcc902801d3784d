import { MAX_LATITUDE_DEG } from "@fellmark/geodesy";
import { z } from "zod";

const id = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/, "1 to 64 letters, digits, dot, dash or underscore");
const db = (min: number, max: number) => z.number().min(min).max(max);
const heightAglM = z.number().min(0.5).max(500);

/** [angleDeg, level in dB relative to the peak] */
const cutPoint = z.tuple([z.number().min(-180).max(360), db(-120, 0)]);

const antennaSchema = z.discriminatedUnion("kind", [
  z.strictObject({ id, kind: z.literal("isotropic"), gainDbi: db(-10, 60) }),
  z.strictObject({ id, kind: z.literal("tr38901") }),
  z.strictObject({
    id,
    kind: z.literal("cuts"),
    gainDbi: db(-10, 60),
    horizontal: z.array(cutPoint).min(2).max(3600),
    vertical: z.array(cutPoint).min(2).max(3600),
  }),
]);

const radioSchema = z.strictObject({
  id,
  table: z.enum(["802.11ac", "802.11ax"]),
  streams: z.int().min(1).max(2).default(2),
  noiseFigureDb: db(0, 20).default(6),
  downShare: z.number().min(0.05).max(0.95).default(0.75),
  macEfficiency: z.number().min(0.1).max(1).default(0.75),
  implementationDb: db(0, 10).default(2),
});

const channelSchema = z.strictObject({
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
  noiseRiseDb: db(0, 60).default(0),
  rule: z.string().max(64).nullable().default(null),
};

const sectorSchema = z.strictObject({
  id,
  site: id,
  ...transmitter,
  azimuthDeg: z.number().min(0).lt(360),
  downtiltDeg: z.number().min(-30).max(30).default(0),
  channel: channelSchema,
  /** Two crossed polarisations put the same power into either port of the kit, whatever the basis of both ends. */
  polarisationBasis: z.enum(["hv", "slant45"]).default("hv"),
  timingGroup: z.string().max(64).default("default"),
  load: z.number().min(0).max(1).default(1),
});

const kitSchema = z.strictObject({
  ...transmitter,
  maxHeightAglM: heightAglM.optional(),
  pointingLossDb: db(0, 20).default(1),
});

const siteSchema = z.strictObject({
  id,
  lon: z.number().min(-180).max(180),
  lat: z.number().min(-MAX_LATITUDE_DEG).max(MAX_LATITUDE_DEG),
});

const planSchema = z.strictObject({
  id,
  downMbps: z.number().positive().max(10_000),
  upMbps: z.number().positive().max(10_000),
});

const areaSchema = z.strictObject({
  radiusM: z.number().min(100).max(60_000),
  cellM: z.number().min(2).max(1000).optional(),
  zoom: z.int().min(6).max(16).optional(),
});

export const CLUTTER_CLASSES = ["unknown", "open", "water", "suburban", "urban", "dense-urban", "trees"] as const;

const clutterSchema = z.union([
  z.strictObject({ class: z.enum(CLUTTER_CLASSES), heightM: z.number().min(0).max(100).optional() }),
  z.strictObject({ landCover: z.string(), heights: z.record(z.string(), z.number()) }),
  z.strictObject({ canopy: z.string() }),
]);

const modelSchema = z.strictObject({
  earthRadiusFactor: z
    .number()
    .min(0.5)
    .max(10)
    .default(4 / 3),
  gas: z.boolean().default(true),
  availability: z.number().min(0.5).max(0.99999).default(0.999),
  confidence: z.number().min(0.5).max(0.99).default(0.9),
  clutter: clutterSchema.default({ class: "unknown" }),
});

const terrainSchema = z.strictObject({
  sets: z
    .array(z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/))
    .min(1)
    .max(16)
    .default(["default"]),
  fillVoids: z.boolean().default(false),
});

/** The body of POST /v1/coverages and REQUEST.json of the command line. Unknown keys are refused by name. */
export const coverageRequestSchema = z.strictObject({
  version: z.literal(1),
  name: z.string().max(200).default(""),
  area: areaSchema,
  quality: z.enum(["accurate", "preview"]).default("accurate"),
  terrain: terrainSchema.prefault({}),
  model: modelSchema.prefault({}),
  sites: z.array(siteSchema).min(1).max(64),
  antennas: z.array(antennaSchema).min(1).max(256),
  radios: z.array(radioSchema).min(1).max(64),
  sectors: z.array(sectorSchema).min(1).max(128),
  kit: kitSchema,
  plans: z.array(planSchema).min(1).max(32),
  emitters: z.array(z.unknown()).default([]),
  scans: z.array(z.unknown()).default([]),
  outputs: z.array(z.enum(["tiers", "rasters", "png"])).default(["tiers", "rasters", "png"]),
});

export type CoverageRequest = z.output<typeof coverageRequestSchema>;
export type SiteSpec = CoverageRequest["sites"][number];
export type SectorSpec = CoverageRequest["sectors"][number];
export type KitSpec = CoverageRequest["kit"];
export type RadioSpec = CoverageRequest["radios"][number];
export type AntennaSpec = CoverageRequest["antennas"][number];
export type PlanSpec = CoverageRequest["plans"][number];
export type ModelSpec = CoverageRequest["model"];
export type ClutterClass = (typeof CLUTTER_CLASSES)[number];
