import { z } from "zod";
import {
  count,
  formatVersion,
  lattice,
  makeNullable,
  modelVersion,
  refusedFiles,
  resultFacts,
  share,
  terrainFingerprint,
  warnings,
} from "../http/reply-parts.ts";

const areaOfClass = {
  cells: count("cells"),
  areaKm2: z.number().min(0).describe("Area, km2"),
  share: share("of the whole area"),
};

const levelDbm = (what: string) => z.number().describe(`${what}, dBm`);
const levelOrNull = (what: string) => makeNullable(levelDbm(what), "there is none");

const noiseUp = z.object({
  meanDbm: levelDbm("Mean of noise and interference"),
  medianDbm: levelDbm("Median of noise and interference"),
  p90Dbm: levelDbm("90th percentile of noise and interference"),
  thermalDbm: levelOrNull("Thermal noise with the noise figure"),
  scansDbm: levelOrNull("Level from noise scans"),
  emittersDbm: levelOrNull("Level from external emitters"),
  basesDbm: levelOrNull("Level from other sectors out of step"),
  subscribersDbm: levelOrNull("Level from subscribers of other sectors"),
});

const interferenceDown = z.object({
  ownSiteDbm: levelOrNull("Mean level from sectors of the same site"),
  otherSitesDbm: levelOrNull("Mean level from sectors of other sites"),
  emittersDbm: levelOrNull("Mean level from external emitters"),
});

const sectorSummary = z.object({
  id: z.string().describe("Id of the sector"),
  eirpDbm: z.number().describe("EIRP at the peak, total over the chains, dBm"),
  binding: z.string().nullable().describe("Limit of the power rule that reduced the power; null: none did"),
  servedCells: count("cells whose best server it is"),
  noiseUp: noiseUp.describe("Noise and interference at the sector's receiver, by cause"),
  interferenceDown: interferenceDown.describe("Interference at the CPE, mean over the cells that it serves, by cause"),
});

/** The file summary.json of a coverage. */
export const coverageSummarySchema = z
  .object({
    version: formatVersion,
    id: z.string().describe("Id of the job"),
    name: z.string().describe("Name in the request"),
    date: resultFacts.date,
    network: resultFacts.network,
    model: modelVersion,
    method: z.string().describe("How clutter counts, as in the request"),
    confidence: z.number().describe("Probability with which predicted levels hold, 0 to 1"),
    availability: z.number().describe("Share of the time for which links must hold, 0 to 1"),
    cpeHeightAglM: z.number().describe("Height of the CPE above ground, m"),
    terrain: z
      .object({
        fingerprint: terrainFingerprint,
        files: z
          .array(
            z.object({
              name: z.string().describe("Name of the file"),
              sha256: z.string().describe("SHA-256 of its bytes, hexadecimal"),
              resolutionM: z.number().describe("Cell size, m"),
            }),
          )
          .describe("Files that were read"),
        refused: refusedFiles,
      })
      .describe("Terrain that the coverage rests on"),
    lattice: lattice
      .extend({ cellM: z.number().describe("Cell size at the first site, m") })
      .describe("Place of the rasters on the web-map pyramid"),
    cells: z
      .object({
        area: count("cells of the area"),
        known: count("cells with elevation"),
        notKnown: count("cells without elevation"),
      })
      .describe("Cells by what is known of them"),
    notKnownShare: share("of the area without elevation"),
    clutterNotKnownShare: makeNullable(share("of the area without known clutter"), "one class holds everywhere"),
    tiers: z
      .array(
        z.object({
          plan: z.string().describe("Id of the plan"),
          downMbps: z.number().describe("Downstream speed of the plan, Mbit/s"),
          upMbps: z.number().describe("Upstream speed of the plan, Mbit/s"),
          ...areaOfClass,
          surveyFirst: z.object(areaOfClass).describe("The part of it where nothing is known to stand on the ground"),
        }),
      )
      .describe("Area by the best plan, in the order of the plans"),
    surveyFirst: z
      .object(areaOfClass)
      .describe("Area with a plan where a survey must come first: nothing is known to stand on the ground"),
    notKnown: z.object(areaOfClass).describe("Area without elevation"),
    noService: z
      .object({
        ...areaOfClass,
        upOnlyFails: count("cells that only the upstream speed keeps from a plan"),
        water: z
          .object(areaOfClass)
          .nullable()
          .describe("The part of it that is open water; null: no land cover tells it"),
      })
      .describe("Area with elevation and without any plan"),
    sectors: z.array(sectorSummary).describe("Every sector"),
    files: z
      .array(
        z.object({
          name: z.string().describe("Name of the file in the result"),
          bytes: count("bytes"),
          sha256: z.string().describe("SHA-256 of its bytes, hexadecimal"),
        }),
      )
      .describe("Files of the result"),
    warnings,
  })
  .meta({ id: "CoverageSummary" });
