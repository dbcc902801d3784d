import { networkCoverageSchema, networkSchema } from "@fellmark/network";
import { z } from "zod";
import type { ZodOpenApiPathsObject } from "zod-openapi";
import { networkStateSchema, networkVersionsSchema } from "../network/network-state.ts";
import { networkExample } from "./network-example.ts";
import { describeJsonReply, describeRefusals, describeSubmissionPath } from "./path-parts.ts";

const tags = ["network"];
const networkBody = {
  "application/json": { schema: networkSchema.meta({ id: "Network" }), example: networkExample },
};
const versionTag = { ETag: { schema: { type: "string" as const }, description: "The version, in quotes" } };
const networkRead = {
  "200": { description: "Canonical, defaults filled in", headers: versionTag, content: networkBody },
  "304": { description: "Unchanged" },
  ...describeRefusals(404, 429),
};
const networkState = { "application/json": { schema: networkStateSchema } };
const version = z
  .string()
  .regex(/^n[0-9a-f]{64}$/)
  .meta({ description: "Version of the network: `n` and 64 hexadecimal digits" });

export const networkPaths: ZodOpenApiPathsObject = {
  "/v1/network": {
    put: {
      operationId: "putNetwork",
      tags,
      summary: "Put the whole network",
      description:
        "Kept under a version of its content and a number. Findings name what looks like a slip; nothing is repaired.",
      requestParams: {
        header: z.object({
          "If-Match": z
            .string()
            .optional()
            .meta({ description: "Version that must be the current one; `*`: any version" }),
        }),
      },
      requestBody: { required: true, content: networkBody },
      responses: {
        "201": { description: "A new version is the current one", headers: versionTag, content: networkState },
        "200": { description: "It is the current one already", headers: versionTag, content: networkState },
        ...describeRefusals(400, 412, 413, 415, 422, 429, 503),
      },
    },
    get: { operationId: "getNetwork", tags, summary: "The current network", responses: networkRead },
  },
  "/v1/network/schema": {
    get: {
      operationId: "getNetworkSchema",
      tags,
      summary: "JSON Schema of a network",
      responses: {
        "200": {
          description: "JSON Schema, draft 2020-12",
          content: { "application/schema+json": { schema: z.looseObject({}) } },
        },
        ...describeRefusals(429),
      },
    },
  },
  "/v1/network/versions": {
    get: {
      operationId: "listNetworkVersions",
      tags,
      summary: "Every version, newest first",
      responses: { ...describeJsonReply("The versions", networkVersionsSchema), ...describeRefusals(429) },
    },
  },
  "/v1/network/versions/{version}": {
    get: {
      operationId: "getNetworkVersion",
      tags,
      summary: "One version",
      requestParams: { path: z.object({ version }) },
      responses: networkRead,
    },
  },
  "/v1/network/coverages": describeSubmissionPath({
    operationId: "createNetworkCoverage",
    tag: "network",
    summary: "Queue the coverage of the current network",
    description: "As POST /v1/coverages with a request composed from the network: its zoom and everything on the air.",
    body: { schema: networkCoverageSchema.meta({ id: "NetworkCoverage" }), example: { area: { radiusM: 15_000 } } },
    more: describeRefusals(404),
  }),
};
