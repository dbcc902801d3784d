import { adviceBodySchema, batchBodySchema, comparisonBodySchema, coverageRequestSchema } from "@fellmark/network";
import { z } from "zod";
import type { ZodOpenApiMediaTypeObject, ZodOpenApiPathsObject } from "zod-openapi";
import { adviceSummarySchema } from "../results/advice-summary.ts";
import { batchSummarySchema } from "../results/batch-summary.ts";
import { comparisonSummarySchema } from "../results/comparison-summary.ts";
import { coverageSummarySchema } from "../results/coverage-summary.ts";
import { answersGeojsonSchema, changeGeojsonSchema, tiersGeojsonSchema } from "../results/geojson-schema.ts";
import {
  binarySchema,
  describeJobPaths,
  describeRefusals,
  describeResultPath,
  describeSubmissionPath,
  textSchema,
} from "./path-parts.ts";
import { requestExample } from "./request-example.ts";

const png: Record<string, ZodOpenApiMediaTypeObject> = { "image/png": { schema: binarySchema } };
const json = (schema: z.ZodType) => ({ "application/json": { schema } });
const geojson = (schema: z.ZodType) => ({ "application/geo+json": { schema } });

const coverage = { path: "/v1/coverages", tag: "coverages", name: "Coverage" };

export const coveragePaths: ZodOpenApiPathsObject = {
  "/v1/coverages": describeSubmissionPath({
    operationId: "createCoverage",
    list: { operationId: "listCoverages", what: "coverages" },
    tag: "coverages",
    summary: "Queue a coverage",
    description:
      "The same request again answers 200 with the job that is there, in whatever state: ask for a rerun with retry. " +
      "Unknown keys are refused by name; of a key that stands twice the last value counts.",
    body: { schema: coverageRequestSchema, example: requestExample },
  }),
  ...describeJobPaths(coverage),
  "/v1/coverages/{id}/summary": describeResultPath(coverage, {
    name: "Summary",
    summary: "Counts, areas and files",
    content: json(coverageSummarySchema),
  }),
  "/v1/coverages/{id}/tiers.geojson": describeResultPath(coverage, {
    name: "Tiers",
    summary: "Polygons by best plan",
    content: geojson(tiersGeojsonSchema),
  }),
  "/v1/coverages/{id}/map.png": describeResultPath(coverage, {
    name: "Map",
    summary: "Picture of the tiers",
    content: png,
  }),
  "/v1/coverages/{id}/rasters/{name}.tif": describeResultPath(coverage, {
    name: "Raster",
    summary: "One layer as GeoTIFF, EPSG:3857",
    content: { "image/tiff": { schema: binarySchema } },
    params: {
      name: z.string().meta({ description: "Name of the layer, see the links of the job", example: "signalDown" }),
    },
  }),
};

const comparison = { path: "/v1/comparisons", tag: "comparisons", name: "Comparison" };
const picture = (name: string, summary: string) => describeResultPath(comparison, { name, summary, content: png });

export const comparisonPaths: ZodOpenApiPathsObject = {
  "/v1/comparisons": describeSubmissionPath({
    operationId: "createComparison",
    list: { operationId: "listComparisons", what: "comparisons" },
    tag: "comparisons",
    summary: "Queue the comparison of a base with itself after some changes",
    description:
      "The base is a coverage request, or composed from a network that was put: the job keeps it whole, so a later " +
      "network does not alter it. Changes are made in order; one that names something unknown is refused by its pointer.",
    body: {
      schema: comparisonBodySchema.meta({ id: "Comparison" }),
      example: {
        version: 1,
        base: requestExample,
        changes: [{ kind: "swap-antenna", sector: "s1-n", antenna: "cpe" }],
      },
    },
  }),
  ...describeJobPaths(comparison),
  "/v1/comparisons/{id}/summary": describeResultPath(comparison, {
    name: "Summary",
    summary: "Gains and losses",
    content: json(comparisonSummarySchema),
  }),
  "/v1/comparisons/{id}/change.geojson": describeResultPath(comparison, {
    name: "Change",
    summary: "Polygons by change",
    content: geojson(changeGeojsonSchema),
  }),
  "/v1/comparisons/{id}/change.png": picture("ChangeMap", "Picture of the change"),
  "/v1/comparisons/{id}/before.png": picture("BeforeMap", "Picture of the coverage before"),
  "/v1/comparisons/{id}/after.png": picture("AfterMap", "Picture of the coverage after"),
};

const advice = { path: "/v1/advice", tag: "advice", name: "Advice" };

export const advicePaths: ZodOpenApiPathsObject = {
  "/v1/advice": describeSubmissionPath({
    operationId: "createAdvice",
    list: { operationId: "listAdvice", what: "channel advice" },
    tag: "advice",
    summary: "Queue advice on channels",
    description: "Ranks the channels of every sector and chooses a channel plan; equal seeds give equal advice.",
    body: {
      schema: adviceBodySchema.meta({ id: "Advice" }),
      example: { version: 1, base: requestExample, channels: [5600, 5620, 5640].map(createChannel20Mhz) },
    },
  }),
  ...describeJobPaths(advice),
  "/v1/advice/{id}/summary": describeResultPath(advice, {
    name: "Summary",
    summary: "Ranking, channel plan and capacity",
    content: json(adviceSummarySchema),
  }),
};

function createChannel20Mhz(centreMhz: number) {
  return { centreMhz, widthMhz: 20 };
}

const batch = { path: "/v1/batches", tag: "batches", name: "Batch" };

export const batchPaths: ZodOpenApiPathsObject = {
  "/v1/batches": describeSubmissionPath({
    operationId: "createBatch",
    list: { operationId: "listBatches", what: "batches" },
    tag: "batches",
    summary: "Queue the answers to many leads",
    description:
      "Leads are the text of a CSV or GeoJSON file; each row holds a postal address, the id of premises, or a point, " +
      "which counts before the others. A row whose place is not known, or fits several, keeps its place with verdict " +
      "not-known and the problem. A retried job continues after the rows that were answered.",
    body: {
      schema: batchBodySchema.meta({ id: "Batch" }),
      example: {
        version: 1,
        source: { network: "current", radiusM: 15_000 },
        leads: { text: "id,address\n1,12 Alder Row\n" },
      },
    },
    more: describeRefusals(404),
  }),
  ...describeJobPaths(batch),
  "/v1/batches/{id}/summary": describeResultPath(batch, {
    name: "Summary",
    summary: "Counts by verdict, plan and problem",
    content: json(batchSummarySchema),
  }),
  "/v1/batches/{id}/answers.csv": describeResultPath(batch, {
    name: "Csv",
    summary: "One line for each lead; an apostrophe precedes text that a spreadsheet would run",
    content: { "text/csv": { schema: textSchema } },
  }),
  "/v1/batches/{id}/answers.geojson": describeResultPath(batch, {
    name: "Geojson",
    summary: "One feature for each lead",
    content: geojson(answersGeojsonSchema),
  }),
};
