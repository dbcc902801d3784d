import {
  adviceBodySchema,
  antennaParametersSchema,
  comparisonBodySchema,
  coverageRequestSchema,
  networkCoverageSchema,
  networkSchema,
} from "@fellmark/network";
import { z } from "zod";
import { createDocument, type ZodOpenApiPathsObject, type ZodOpenApiResponsesObject } from "zod-openapi";
import { networkStateSchema, networkVersionsSchema } from "../network/network-state.ts";
import { networkExample } from "./network-example.ts";
import { batches } from "./openapi-batches.ts";
import { jobPaths, queued, refusals, result } from "./openapi-parts.ts";
import { places } from "./openapi-places.ts";
import { premises } from "./openapi-premises.ts";
import { requestExample } from "./request-example.ts";

const coverages: ZodOpenApiPathsObject = {
  "/v1/coverages": queued({
    tag: "coverages",
    summary: "Queue a coverage",
    description:
      "The same request again answers 200 with the job that is there, in whatever state: ask for a rerun with retry. " +
      "Unknown keys are refused by name; of a key that stands twice the last value counts.",
    body: { schema: coverageRequestSchema.meta({ id: "CoverageRequest" }), example: requestExample },
  }),
  ...jobPaths("/v1/coverages", "coverages"),
  "/v1/coverages/{id}/summary": result("coverages", "Counts, areas and files", "application/json"),
  "/v1/coverages/{id}/tiers.geojson": result("coverages", "Polygons by best plan", "application/geo+json"),
  "/v1/coverages/{id}/map.png": result("coverages", "Picture of the tiers", "image/png"),
  "/v1/coverages/{id}/rasters/{name}.tif": result("coverages", "One layer as GeoTIFF, EPSG:3857", "image/tiff", {
    name: z.string().meta({ example: "signalDown" }),
  }),
};

const comparisons: ZodOpenApiPathsObject = {
  "/v1/comparisons": queued({
    tag: "comparisons",
    summary: "Queue the comparison of a base with itself after some changes",
    description:
      "The base is a coverage request, or composed from a network that was put: the job keeps it whole, so a later " +
      "network does not alter it. Changes are made in order; one that names what is not there is refused by its pointer.",
    body: {
      schema: comparisonBodySchema.meta({ id: "Comparison" }),
      example: {
        version: 1,
        base: requestExample,
        changes: [{ kind: "swap-antenna", sector: "s1-n", antenna: "cpe" }],
      },
    },
  }),
  ...jobPaths("/v1/comparisons", "comparisons"),
  "/v1/comparisons/{id}/summary": result("comparisons", "What is gained and lost", "application/json"),
  "/v1/comparisons/{id}/change.geojson": result("comparisons", "Polygons by change", "application/geo+json"),
  "/v1/comparisons/{id}/change.png": result("comparisons", "Picture of the change", "image/png"),
  "/v1/comparisons/{id}/before.png": result("comparisons", "Picture of the coverage before", "image/png"),
  "/v1/comparisons/{id}/after.png": result("comparisons", "Picture of the coverage after", "image/png"),
};

const advice: ZodOpenApiPathsObject = {
  "/v1/advice": queued({
    tag: "advice",
    summary: "Queue advice on channels",
    description:
      "Ranks the channels of every sector and chooses one for each together; the same seed, the same choice.",
    body: {
      schema: adviceBodySchema.meta({ id: "Advice" }),
      example: { version: 1, base: requestExample, channels: [5600, 5620, 5640].map(channelOf20Mhz) },
    },
  }),
  ...jobPaths("/v1/advice", "advice"),
  "/v1/advice/{id}/summary": result("advice", "Ranking, joint plan and capacity", "application/json"),
};

function channelOf20Mhz(centreMhz: number) {
  return { centreMhz, widthMhz: 20 };
}

const networkBody = {
  "application/json": { schema: networkSchema.meta({ id: "Network" }), example: networkExample },
};
const versionTag = { ETag: { schema: { type: "string" as const }, description: "The version, in quotes" } };
const networkRead = {
  "200": { description: "Canonical, defaults filled in", headers: versionTag, content: networkBody },
  "304": { description: "Unchanged" },
  ...refusals(404, 429),
};
const networkState = { "application/json": { schema: networkStateSchema } };

const network: ZodOpenApiPathsObject = {
  "/v1/network": {
    put: {
      tags: ["network"],
      summary: "Put the whole network",
      description:
        "Kept under a version of its content and a number. Findings name what looks like a slip; nothing is repaired.",
      requestParams: { header: z.object({ "If-Match": z.string().optional() }) },
      requestBody: { required: true, content: networkBody },
      responses: {
        "201": { description: "A new version is the current one", headers: versionTag, content: networkState },
        "200": { description: "It is the current one already", headers: versionTag, content: networkState },
        ...refusals(400, 412, 413, 415, 422, 429, 503),
      },
    },
    get: { tags: ["network"], summary: "The current network", responses: networkRead },
  },
  "/v1/network/schema": {
    get: {
      tags: ["network"],
      summary: "JSON Schema of a network",
      responses: { "200": { description: "OK", content: { "application/schema+json": {} } }, ...refusals(429) },
    },
  },
  "/v1/network/versions": {
    get: {
      tags: ["network"],
      summary: "Every version, newest first",
      responses: {
        "200": { description: "The versions", content: { "application/json": { schema: networkVersionsSchema } } },
        ...refusals(429),
      },
    },
  },
  "/v1/network/versions/{version}": {
    get: {
      tags: ["network"],
      summary: "One version",
      requestParams: { path: z.object({ version: z.string().regex(/^n[0-9a-f]{64}$/) }) },
      responses: networkRead,
    },
  },
  "/v1/network/coverages": queued({
    tag: "network",
    summary: "Queue the coverage of the current network",
    description: "As POST /v1/coverages with the request composed: zoom and everything on the air are the network's.",
    body: { schema: networkCoverageSchema.meta({ id: "NetworkCoverage" }), example: { area: { radiusM: 15_000 } } },
    more: refusals(404),
  }),
};

const antennas: ZodOpenApiPathsObject = {
  "/v1/antennas/parameters": {
    post: {
      tags: ["antennas"],
      summary: "Measures of an antenna, perhaps against another, and both cuts as a picture",
      requestBody: { required: true, content: { "application/json": { schema: antennaParametersSchema } } },
      responses: {
        "200": {
          description:
            "Measures of each antenna on both ports; `losses`, what each costs one built from dimensions; and `svg`: the picture as text",
          content: { "application/json": {} },
        },
        ...refusals(400, 413, 415, 422, 429),
      },
    },
  },
};

function plain(
  summary: string,
  mediaType: string,
  more: ZodOpenApiResponsesObject = {},
): ZodOpenApiPathsObject[string] {
  const responses = { "200": { description: "OK", content: { [mediaType]: {} } }, ...more };
  return { get: { tags: ["service"], summary, responses } };
}

const service: ZodOpenApiPathsObject = {
  "/health/live": plain("The process runs", "application/json"),
  "/health/ready": plain("Ledger, queue and terrain are ready", "application/json", refusals(503)),
  "/metrics": plain("Prometheus metrics", "text/plain"),
  "/openapi.json": plain("This document", "application/json"),
};

/** The OpenAPI 3.1 document of the service, from the schemas that the routes parse with. */
export function createOpenapi(version: string): ReturnType<typeof createDocument> {
  return createDocument({
    openapi: "3.1.0",
    info: {
      title: "Fellmark",
      version,
      description: "Coverage of fixed-wireless masts over real terrain. Longitude first, azimuth from true north.",
      license: { name: "Apache-2.0", identifier: "Apache-2.0" },
    },
    tags: ["network", "coverages", "comparisons", "advice", "places", "premises", "batches", "antennas", "service"].map(
      (name) => ({ name }),
    ),
    paths: {
      ...network,
      ...coverages,
      ...comparisons,
      ...advice,
      ...places,
      ...premises,
      ...batches,
      ...antennas,
      ...service,
    },
  });
}
