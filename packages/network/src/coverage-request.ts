import { CABLES } from "@fellmark/radio";
import { z } from "zod";
import { antennaSchema } from "./antenna-schema.ts";
import { areaShapesSchema } from "./area-shapes.ts";
import {
  describeChoice,
  describeDb,
  describeId,
  describeTitle,
  documentVersion,
  heightAglM,
  id,
  place,
  setName,
} from "./field-schemas.ts";
import { calibrationSchema, clutterSchema, fadingSchema } from "./model-schemas.ts";
import { channelWidthMhz, radioSchema } from "./radio-schema.ts";
import { growthPerMonth, planSchema, trafficSchema } from "./traffic-schemas.ts";

const centreMhz = z.number().min(700).max(86_000).describe("Centre frequency, MHz");

export const channelSchema = z.strictObject({
  centreMhz,
  widthMhz: channelWidthMhz,
});

/** Fields of a transmitter that sectors and CPEs share. */
const transmitter = {
  antenna: describeId("the antenna"),
  radio: describeId("the radio"),
  heightAglM: heightAglM.describe("Height of the antenna above ground, m"),
  powerDbm: describeDb(-20, 40).describe("Conducted power, total over all chains, dBm"),
  chains: z.literal([1, 2]).default(2).describe("Transmit and receive chains, one per polarisation"),
  feederLossDb: describeDb(0, 30).default(0).describe("Loss of the feeder, dB; not together with `feeder`"),
  connectorLossDb: describeDb(0, 10).default(0).describe("Loss of all connectors, dB; not together with `feeder`"),
  feeder: z
    .strictObject({
      cable: z
        .enum(CABLES.map((cable) => cable.id))
        .describe(`Class of cable. ${CABLES.map((cable) => `\`${cable.id}\`: ${cable.title}`).join("; ")}`),
      lengthM: z.number().min(0).max(200).describe("Length of the cable, m"),
      connectors: z.int().min(0).max(20).describe("Number of connectors"),
    })
    .optional()
    .describe("The feeder as it is built, from which its loss is computed"),
  /** Two crossed polarisations put the same power into either port of the other end, whatever the basis of both. */
  polarisationBasis: describeChoice("Polarisations of the two ports", {
    hv: "horizontal and vertical",
    slant45: "plus and minus 45 degrees",
  }).default("hv"),
  noiseRiseDb: describeDb(0, 60)
    .default(0)
    .describe("Rise of the receiver's noise by sources that are not in the request, dB"),
  rule: z
    .string()
    .max(64)
    .nullable()
    .default(null)
    .describe("Id of the power rule to keep to, see GET /v1/rules; null: no rule limits the power"),
};

/** Timing group of the sectors that state none. */
export const UNSTATED_TIMING = "unstated";

export const sectorSchema = z
  .strictObject({
    id,
    site: describeId("the site that the sector stands on"),
    ...transmitter,
    azimuthDeg: z.number().min(0).lt(360).describe("Azimuth of boresight, degrees clockwise from true north"),
    downtiltDeg: z
      .number()
      .min(-30)
      .max(30)
      .default(0)
      .describe("Mechanical downtilt, degrees; positive points below the horizon"),
    rollDeg: z
      .number()
      .min(-180)
      .max(180)
      .default(0)
      .describe("Rotation about boresight, degrees clockwise seen from behind the antenna"),
    channel: channelSchema.describe("Channel that the sector uses in both directions"),
    timingGroup: describeTitle(64)
      .default(UNSTATED_TIMING)
      .describe(
        "Sectors of the same group transmit and receive at the same times; those that state none are taken for one group, and a warning says so",
      ),
    load: z.number().min(0).max(1).default(1).describe("Share of its time that the sector transmits, for interference"),
    growthPerMonth: growthPerMonth
      .optional()
      .describe("Growth of this sector's subscribers a month, as a share; if absent, that of `traffic`"),
  })
  .meta({ id: "Sector" });

export const cpeSchema = z.strictObject({
  ...transmitter,
  maxHeightAglM: heightAglM.optional().describe("Greatest mount height to offer, m above ground"),
  pointingLossDb: describeDb(0, 20).default(1).describe("Loss by imperfect pointing of the CPE's antenna, dB"),
  mount: describeChoice("Where the CPE stands; absent: on the roof where a building is known, else over the ground", {
    ground: "on a pole or mast over the ground, beside any building",
    roof: "on the roof of the building at the place",
    wall: "on the wall that faces the sector, at its height above the ground",
  }).optional(),
  heightAboveRoofM: z.number().min(0.3).max(15).default(1).describe("Height of a roof mount above the roof, m"),
});

export const siteSchema = z.strictObject({
  id,
  ...place,
});

export const areaSchema = z.strictObject({
  radiusM: z.number().min(100).max(60_000).describe("Radius of the map around every site, m"),
  cellM: z
    .number()
    .min(2)
    .max(1000)
    .optional()
    .describe(
      "Wanted cell size, m; the nearest zoom of the web-map pyramid is used. 30 if neither it nor zoom is given",
    ),
  zoom: z.int().min(6).max(16).optional().describe("Zoom of the web-map pyramid, instead of cellM"),
  within: areaShapesSchema
    .optional()
    .describe("Only places in one of these shapes count, within radiusM of a site as ever. Absent: all count"),
  exclude: areaShapesSchema
    .optional()
    .describe(
      "Places in one of these shapes do not count: they are outside the area in summary, tiers, rasters and map",
    ),
});

export const modelSchema = z
  .strictObject({
    earthRadiusFactor: z
      .number()
      .min(0.5)
      .max(10)
      .default(4 / 3)
      .describe("Effective Earth radius over the true one: how far the atmosphere bends rays"),
    gas: z.boolean().default(true).describe("True: count absorption by oxygen and water vapour (ITU-R P.676)"),
    availability: z
      .number()
      .min(0.5)
      .max(0.99999)
      .default(0.999)
      .describe("Share of the time that a rate must hold against fading"),
    confidence: z
      .number()
      .min(0.5)
      .max(0.99)
      .default(0.9)
      .describe("Probability with which a place counted as served is served, given the spread of the model"),
    clutter: clutterSchema
      .default({ class: "unknown" })
      .describe("Trees and buildings: one class for all places, a statistic, or sets of rasters"),
    method: describeChoice("How clutter counts", {
      "path-clutter": "measured heights along the whole path, over or through; classes as a loss at both ends",
      "end-clutter": "as a loss at both ends of the path alone",
      p1812: "ITU-R P.1812-6 complete, clutter along the whole path; for answers and measured links, not for maps",
    }).default("path-clutter"),
    foliage: describeChoice("Season of the trees", {
      "leaf-on": "trees bear leaves",
      "leaf-off": "trees bear no leaves",
    }).default("leaf-on"),
    vegetationLaw: describeChoice("Law by which trees weaken a ray that goes through them", {
      weissberger: "Weissberger's modified exponential decay",
      p833: "ITU-R P.833",
    }).default("weissberger"),
    fading: fadingSchema.prefault({}).describe("What the fade margin protects against"),
    calibration: calibrationSchema
      .nullable()
      .default(null)
      .describe("Calibration fitted to the provider's own measured links; null: the model as it is"),
    obstacleCapDb: z
      .strictObject({
        clear: describeDb(0, 100).describe("On paths with line of sight, dB below the peak"),
        grazing: describeDb(0, 100).describe("On paths whose first Fresnel zone is obstructed, dB below the peak"),
        blocked: describeDb(0, 100).describe("On paths without line of sight, dB below the peak"),
      })
      .nullable()
      .default({ clear: 35, grazing: 20, blocked: 15 })
      .describe(
        "Level that obstacles scatter into every direction, dB below an antenna's peak; null: none. Provisional, no source",
      ),
    coSiteIsolationDb: describeDb(0, 150)
      .default(50)
      .describe("Least isolation between two sectors of one mast, dB. Common practice, no source"),
  })
  .meta({ id: "Model" });

export const terrainSchema = z.strictObject({
  sets: z
    .array(setName)
    .min(1)
    .max(16)
    .default(["default"])
    .describe(
      "Sets of elevation rasters, the most trusted first: the next set counts where the one before has no data",
    ),
  fillVoids: z.boolean().default(false).describe("True: fill small voids of the elevation from the cells around them"),
});

/** An external emitter: somebody else's transmitter. */
export const emitterSchema = z.strictObject({
  id,
  ...place,
  heightAglM: heightAglM.describe("Height of its antenna above ground, m"),
  eirpDbm: describeDb(-40, 90).describe("EIRP at the peak of its antenna, total over both polarisations, dBm"),
  channel: z
    .strictObject({ centreMhz, widthMhz: z.number().min(1).max(320).describe("Width of its channel, MHz") })
    .describe("Channel that it transmits on"),
  activity: z.number().min(0).max(1).default(1).describe("Share of the time that it transmits"),
  antenna: describeId("its antenna")
    .optional()
    .describe("Id of its antenna; if absent, it sends equally in all directions"),
  azimuthDeg: z
    .number()
    .min(0)
    .lt(360)
    .optional()
    .describe("Azimuth of its boresight, degrees clockwise from true north; if absent, 0"),
  downtiltDeg: z
    .number()
    .min(-90)
    .max(90)
    .optional()
    .describe("Its downtilt, degrees; positive points below the horizon; if absent, 0"),
});

/** Levels measured at a site by bearing and frequency. */
const scanSchema = z.strictObject({
  id,
  site: describeId("the site where it was measured"),
  heightAglM: heightAglM.describe("Height of the scanning antenna above ground, m"),
  antenna: z
    .union([
      id,
      z.strictObject({
        gainDbi: describeDb(-10, 60).describe("Gain, dBi"),
        widthDeg: z.number().min(1).max(360).describe("Half-power beam width, degrees"),
      }),
    ])
    .describe("Antenna of the scanner: the id of an antenna, or its gain and half-power width"),
  resolutionMhz: z.number().min(0.01).max(160).describe("Bandwidth in which each level was measured, MHz"),
  noiseFigureDb: describeDb(0, 30)
    .nullable()
    .default(6)
    .describe("Noise figure of the scanner, dB: its noise is subtracted from the levels; null: they are free of it"),
  polarisation: z
    .union([z.literal(0), z.literal(1), z.literal("both")])
    .describe("Port of the sectors' basis that was measured: 0 the first, 1 the second, `both` their sum"),
  statistic: describeChoice("What a level states of the samples of its time", {
    median: "the median",
    p90: "the 90th percentile",
    "peak-hold": "the greatest",
  }),
  at: z.iso.datetime({ offset: true }).describe("Time of the scan, ISO 8601 with offset"),
  elevationDeg: z
    .number()
    .min(-90)
    .max(90)
    .default(0)
    .describe("Elevation that the scanning antenna pointed at, degrees above the horizon"),
  readings: z
    .array(
      z.strictObject({
        azimuthDeg: z.number().min(0).lt(360).describe("Azimuth of the scanning antenna, degrees from true north"),
        centreMhz,
        levelDbm: describeDb(-200, 30).describe("Level at the scanner's port, dBm"),
      }),
    )
    .min(1)
    .max(20_000)
    .describe("Levels by azimuth and frequency"),
});

/** Isolation measured between two sectors of one mast. */
const isolationSchema = z.strictObject({
  sectors: z.tuple([id, id]).describe("Ids of two sectors of one site"),
  isolationDb: describeDb(0, 150).describe("Isolation between the two, dB"),
});

export const subscriberSchema = z.strictObject({
  id,
  sector: describeId("the sector that serves the subscriber"),
  ...place,
  cpe: id.optional().describe("Id of the subscriber's CPE; if absent, the first of the network"),
  heightAglM: heightAglM.optional().describe("Height of the CPE above ground, m; if absent, that of its kind of CPE"),
  plan: describeId("the plan that is sold to the subscriber"),
  premises: z.string().max(200).optional().describe("Id of the subscriber's premises in the imported list"),
  measured: z
    .strictObject({
      signalDbm: describeDb(-200, 30).describe("Level per chain measured at the CPE, dBm"),
      at: z.iso.datetime({ offset: true }).describe("Time of the measurement, ISO 8601 with offset"),
    })
    .optional()
    .describe("What was measured at the mounted CPE"),
});

/** Limits of one coverage; a network may be larger. */
export const COVERAGE_LIMITS = { sites: 64, sectors: 128 } as const;

/** Lists that coverage requests and networks have in common. */
export const onAir = {
  antennas: z.array(antennaSchema).min(1).max(256).describe("Antennas that sectors, CPE, emitters and scans name"),
  radios: z.array(radioSchema).min(1).max(64).describe("Radios that sectors and CPE name"),
  plans: z.array(planSchema).min(1).max(32).describe("Plans on sale"),
  emitters: z.array(emitterSchema).max(256).default([]).describe("External emitters: other operators' transmitters"),
  scans: z.array(scanSchema).max(256).default([]).describe("Noise scans measured at the sites"),
  isolations: z
    .array(isolationSchema)
    .max(1000)
    .default([])
    .describe("Isolation measured between sectors of one site; others have model.coSiteIsolationDb"),
  subscribers: z
    .array(subscriberSchema)
    .max(20_000)
    .default([])
    .describe("Existing subscribers: they load the uplink, and their demand fills the sectors"),
  traffic: trafficSchema.prefault({}).describe("Demand of subscribers over the years, and when a sector is full"),
};

/** The body of POST /v1/coverages and REQUEST.json of the command line. Unknown keys are refused by name. */
export const coverageRequestSchema = z
  .strictObject({
    version: documentVersion,
    name: describeTitle(200).default("").describe("Title of the map"),
    area: areaSchema.describe("What is mapped, and how finely"),
    quality: describeChoice("Effort of the computation", {
      accurate: "four times the radials: what is published",
      preview: "one radial for each cell of the rim: for quick looks",
    }).default("accurate"),
    terrain: terrainSchema.prefault({}).describe("Elevation data"),
    model: modelSchema.prefault({}).describe("Propagation and statistics"),
    sites: z.array(siteSchema).min(1).max(COVERAGE_LIMITS.sites).describe("Places of the masts"),
    sectors: z.array(sectorSchema).min(1).max(COVERAGE_LIMITS.sectors).describe("Sectors on the sites"),
    cpe: cpeSchema.describe("Subscriber radio (CPE) that every place is assumed to have"),
    ...onAir,
    networkVersion: z
      .string()
      .regex(/^n[0-9a-f]{64}$/)
      .optional()
      .describe("Version of the network that the request was made from; stands in every file of the result"),
    outputs: z
      .array(
        describeChoice("A kind of result", {
          tiers: "polygons by the best plan",
          rasters: "a GeoTIFF of every layer",
          png: "a picture of the tiers",
        }),
      )
      .default(["tiers", "rasters", "png"])
      .describe("Which results to write"),
  })
  .meta({ id: "CoverageRequest" });

export type CoverageRequest = z.output<typeof coverageRequestSchema>;
export type SiteSpec = CoverageRequest["sites"][number];
export type SectorSpec = CoverageRequest["sectors"][number];
export type CpeSpec = CoverageRequest["cpe"];
export type RadioSpec = CoverageRequest["radios"][number];
export type PlanSpec = CoverageRequest["plans"][number];
export type EmitterSpec = CoverageRequest["emitters"][number];
export type ScanSpec = CoverageRequest["scans"][number];
export type SubscriberSpec = CoverageRequest["subscribers"][number];
export type ModelSpec = CoverageRequest["model"];
