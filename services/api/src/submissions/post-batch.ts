import {
  type BatchBody,
  type BatchRequest,
  checkBatch,
  listAntennaTexts,
  parseBatchBody,
  parseJsonBody,
  parseNetwork,
  requestOfBatch,
} from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { tenantOf } from "../http/tenant.ts";
import { answeringSource } from "../network/answering-source.ts";
import { submitJob } from "./submit-job.ts";

/** Queues the answers to many leads: 202, or 200 with the job that is there already. */
export function postBatch(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const body = parseBatchBody(parseJsonBody(req.body));
    const tenant = tenantOf(req);
    const list = await context.premises.list(tenant);
    const source = await storedSource(context, tenant, body);
    const request: BatchRequest = { ...body, source, premises: list?.version ?? null };
    checkBatch(request);
    await submitJob(context, res, {
      tenant,
      kind: "batch",
      request,
      masts: { request: requestOfBatch(request), at: "/source" },
      texts: "request" in body.source ? listAntennaTexts(body.source.request, "/source/request") : [],
    });
  };
}

/** The network that answers, whole: a later one does not alter the job. */
async function storedSource(
  { ledger }: ApiContext,
  tenant: string,
  { source }: BatchBody,
): Promise<BatchRequest["source"]> {
  if ("request" in source) return source;
  const { radiusM, cpe } = source;
  const named = await answeringSource(ledger, tenant, source, "/source");
  if (!("network" in named)) throw new TypeError("a named network is kept");
  const document = parseNetwork(JSON.parse(await named.network.document()));
  return { document, radiusM, ...(cpe !== undefined && { cpe }) };
}
