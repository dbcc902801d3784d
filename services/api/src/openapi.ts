import { antennaMeasuresSchema, coverageRequestSchema } from "@fellmark/network";
import { z } from "zod";
import { createDocument, type ZodOpenApiPathsObject, type ZodOpenApiResponsesObject } from "zod-openapi";
import { jobStateSchema } from "./job-state.ts";
import { problemSchema } from "./problem.ts";
import { requestExample } from "./request-example.ts";

const problemBody = { "application/problem+json": { schema: problemSchema } };
const stateBody = { "application/json": { schema: jobStateSchema } };
const retryAfter = { "Retry-After": { schema: { type: "integer" as const }, description: "Seconds to wait" } };

const problems = {
  400: { description: "Malformed: not JSON, not UTF-8, nested too deep", content: problemBody },
  404: { description: "There is no such thing", content: problemBody },
  409: { description: "The coverage changed meanwhile", content: problemBody },
  413: { description: "The body is over 1 MB", content: problemBody },
  415: { description: "The body is not application/json in UTF-8", content: problemBody },
  422: {
    description: "A field is wrong, not supported yet or too costly; a mast stands on unknown ground",
    content: problemBody,
  },
  429: { description: "Too many coverages or requests", headers: retryAfter, content: problemBody },
  503: { description: "The queue, ledger or compute child does not answer", headers: retryAfter, content: problemBody },
};

function refusals(...statuses: (keyof typeof problems)[]): ZodOpenApiResponsesObject {
  return Object.fromEntries(statuses.map((status) => [String(status), problems[status]])) as ZodOpenApiResponsesObject;
}

const coverageId = z
  .string()
  .regex(/^j[0-9a-f]{64}$/)
  .meta({ description: "From the Location header of POST /v1/coverages" });
const ofOne = { requestParams: { path: z.object({ id: coverageId }) } };

function result(summary: string, mediaType: string, more: { name?: z.ZodType } = {}): ZodOpenApiPathsObject[string] {
  return {
    get: {
      tags: ["results"],
      summary,
      requestParams: {
        path: z.object({ id: coverageId, ...more }),
        header: z.object({ "If-None-Match": z.string().optional() }),
      },
      responses: {
        "200": {
          description: "The file; its ETag is its SHA-256",
          headers: { ETag: { schema: { type: "string" } } },
          content: { [mediaType]: {} },
        },
        "304": { description: "Unchanged" },
        ...refusals(404, 429),
      },
    },
  };
}

const coverages: ZodOpenApiPathsObject = {
  "/v1/coverages": {
    post: {
      tags: ["coverages"],
      summary: "Queue a coverage",
      description:
        "The same request again answers 200 with the job that is there, in whatever state: ask for a rerun with retry. " +
        "Unknown keys are refused by name; of a key that stands twice the last value counts.",
      requestBody: {
        required: true,
        content: {
          "application/json": {
            schema: coverageRequestSchema.meta({ id: "CoverageRequest" }),
            example: requestExample,
          },
        },
      },
      responses: {
        "202": {
          description: "Queued",
          headers: { Location: { schema: { type: "string" }, description: "Address of the coverage" } },
          content: stateBody,
        },
        "200": { description: "Known already", content: stateBody },
        ...refusals(400, 413, 415, 422, 429, 503),
      },
    },
  },
  "/v1/coverages/{id}": {
    get: {
      tags: ["coverages"],
      summary: "State, progress and links",
      ...ofOne,
      responses: { "200": { description: "The state", content: stateBody }, ...refusals(404, 429) },
    },
    delete: {
      tags: ["coverages"],
      summary: "Cancel, or remove once it has ended",
      ...ofOne,
      responses: {
        "202": { description: "Was queued or running: cancelled, or about to be", content: stateBody },
        "204": { description: "Had ended: removed with its result" },
        ...refusals(404, 409, 429),
      },
    },
  },
  "/v1/coverages/{id}/retry": {
    post: {
      tags: ["coverages"],
      summary: "Run again what failed, was cancelled or expired",
      ...ofOne,
      responses: {
        "202": { description: "Queued or running", content: stateBody },
        "200": { description: "Done: nothing to run", content: stateBody },
        ...refusals(404, 429, 503),
      },
    },
  },
  "/v1/coverages/{id}/events": {
    get: {
      tags: ["coverages"],
      summary: "Follow by server-sent events",
      description: "Events named `state`: one at once, one after each change; the stream ends with the coverage.",
      ...ofOne,
      responses: {
        "200": { description: "Events whose data is a JobState", content: { "text/event-stream": {} } },
        "204": { description: "The Last-Event-ID sent was the last one" },
        ...refusals(404, 429),
      },
    },
  },
};

const results: ZodOpenApiPathsObject = {
  "/v1/coverages/{id}/summary": result("Counts, areas and files", "application/json"),
  "/v1/coverages/{id}/tiers.geojson": result("Polygons by best plan", "application/geo+json"),
  "/v1/coverages/{id}/map.png": result("Picture of the tiers", "image/png"),
  "/v1/coverages/{id}/rasters/{name}.tif": result("One layer as GeoTIFF, EPSG:3857", "image/tiff", {
    name: z.string().meta({ example: "signalDown" }),
  }),
};

const antennas: ZodOpenApiPathsObject = {
  "/v1/antennas/measures": {
    post: {
      tags: ["antennas"],
      summary: "Measures of an antenna, perhaps against another, and both cuts as a picture",
      requestBody: { required: true, content: { "application/json": { schema: antennaMeasuresSchema } } },
      responses: {
        "200": {
          description: "Measures of each antenna on both ports, and `svg`: the picture as text",
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
    tags: [{ name: "coverages" }, { name: "results" }, { name: "antennas" }, { name: "service" }],
    paths: { ...coverages, ...results, ...antennas, ...service },
  });
}
