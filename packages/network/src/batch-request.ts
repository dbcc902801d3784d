import { InputError } from "@fellmark/units";
import { z } from "zod";
import { areaSchema, type CoverageRequest, coverageRequestSchema, kitSchema, planSchema } from "./coverage-request.ts";
import { parseWith } from "./field-problems.ts";
import { id } from "./field-schemas.ts";
import { answerRequestOf, networkSchema } from "./network-document.ts";
import { checkCoverageRequest } from "./parse-request.ts";
import { answering } from "./place-questions.ts";

const { network, radiusM, kit } = answering;

/** Fields of a batch besides its source. */
const batch = {
  version: z.literal(1),
  /** CSV or GeoJSON: each row an address, the id of premises or a point; see the premises package. */
  leads: z.strictObject({
    text: z.string().min(1).max(20_000_000),
    /** Columns that are not found by their usual names: role=column, separated by commas. */
    map: z.string().max(2000).default(""),
    /** EPSG code of the points; default: degrees on WGS84. */
    crs: z.int().positive().optional(),
    delimiter: z.string().length(1).optional(),
  }),
  /** Plan that the verdicts are about; default: the cheapest. */
  plan: planSchema.shape.id.optional(),
  /** Of mounts whose row does not say; default: that of the kit. */
  heightAglM: kitSchema.shape.heightAglM.optional(),
};

const requestSource = z.strictObject({ request: coverageRequestSchema });

/** The body of POST /v1/batches: answered by a request, or by a network that was put. */
export const batchBodySchema = z.strictObject({
  ...batch,
  source: z.union([requestSource, z.strictObject({ network, radiusM, kit })]),
});

/** A batch as it is stored and computed: its network stands in it whole. */
export const batchRequestSchema = z.strictObject({
  ...batch,
  source: z.union([
    requestSource,
    z.strictObject({ document: networkSchema, radiusM: areaSchema.shape.radiusM, kit: id.optional() }),
  ]),
  /** Version of the list of premises in which addresses are looked up; null: there was none. */
  premises: z.string().nullable(),
});

export type BatchBody = z.output<typeof batchBodySchema>;
export type BatchRequest = z.output<typeof batchRequestSchema>;

export function parseBatchBody(body: unknown): BatchBody {
  return parseWith(batchBodySchema, body);
}

/** Throws InputError that points to every field at fault. */
export function parseBatchRequest(body: unknown): BatchRequest {
  const request = parseWith(batchRequestSchema, body);
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

/** What answers the leads of a batch. */
export function requestOfBatch({ source }: Pick<BatchRequest, "source">): CoverageRequest {
  if ("request" in source) return source.request;
  const { document, radiusM, kit } = source;
  return answerRequestOf(document, { radiusM, ...(kit !== undefined && { kit }) }, "/source");
}
