import { InputError } from "@fellmark/units";
import { z } from "zod";
import { areaSchema, type CoverageRequest, coverageRequestSchema, cpeSchema } from "./coverage-request.ts";
import { parseBody } from "./field-problems.ts";
import { documentVersion, id } from "./field-schemas.ts";
import { buildAnswerRequest, networkSchema } from "./network-document.ts";
import { checkCoverageRequest } from "./parse-request.ts";
import { answering } from "./place-questions.ts";
import { planSchema } from "./traffic-schemas.ts";

const { network, radiusM, cpe } = answering;

/** Fields of a batch besides its source. */
const batch = {
  version: documentVersion,
  leads: z
    .strictObject({
      text: z
        .string()
        .min(1)
        .max(20_000_000)
        .describe("Text of a CSV or GeoJSON file; each row holds an address, the id of premises or a point"),
      map: z
        .string()
        .max(2000)
        .default("")
        .describe("Columns that are not found by their usual names: role=column, separated by commas"),
      crs: z.int().positive().optional().describe("EPSG code of the points; if absent, degrees on WGS84"),
      delimiter: z.string().length(1).optional().describe("Delimiter of the CSV; if absent, it is found"),
    })
    .describe("The leads to answer"),
  plan: planSchema.shape.id.optional().describe("Id of the plan that the verdicts are about; if absent, the cheapest"),
  heightAglM: cpeSchema.shape.heightAglM
    .optional()
    .describe("Height of mounts whose row does not state it, m above ground; if absent, that of the CPE"),
};

const requestSource = z.strictObject({
  request: coverageRequestSchema.describe("A coverage request: its sectors and CPE answer"),
});

/** The body of POST /v1/batches: answered by a request, or by a network that was put. */
export const batchBodySchema = z.strictObject({
  ...batch,
  source: z
    .union([requestSource, z.strictObject({ network, radiusM, cpe })])
    .describe("What answers: a network that was put, or a coverage request"),
});

/** A batch as it is stored and computed: its network stands in it whole. */
export const batchRequestSchema = z.strictObject({
  ...batch,
  source: z.union([
    requestSource,
    z.strictObject({ document: networkSchema, radiusM: areaSchema.shape.radiusM, cpe: id.optional() }),
  ]),
  /** Version of the list of premises in which addresses are looked up; null: there was none. */
  premises: z.string().nullable(),
});

export type BatchBody = z.output<typeof batchBodySchema>;
export type BatchRequest = z.output<typeof batchRequestSchema>;

export function parseBatchBody(body: unknown): BatchBody {
  return parseBody(batchBodySchema, body);
}

/** Throws InputError that points to every field at fault. */
export function parseBatchRequest(body: unknown): BatchRequest {
  const request = parseBody(batchRequestSchema, body);
  checkBatch(request);
  return request;
}

/** Throws InputError below /source, or at /plan for one that is not sold. */
export function checkBatch(batch: BatchRequest): void {
  if ("request" in batch.source) checkCoverageRequest(batch.source.request, "/source/request");
  const { plans } = requestOfBatch(batch);
  if (batch.plan === undefined || plans.some((plan) => plan.id === batch.plan)) return;
  const limit = plans.map((plan) => plan.id).join(", ");
  throw new InputError([{ pointer: "/plan", detail: `there is no plan "${batch.plan}"`, limit }]);
}

/** Returns the request that answers the leads of a batch. */
export function requestOfBatch({ source }: Pick<BatchRequest, "source">): CoverageRequest {
  if ("request" in source) return source.request;
  const { document, radiusM, cpe } = source;
  return buildAnswerRequest(document, { radiusM, ...(cpe !== undefined && { cpe }) }, "/source");
}
