import { parseJsonBody, parseNetworkCoverage, toCoverageRequest } from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { tenantOf } from "../http/tenant.ts";
import { currentNetwork } from "../network/composed-base.ts";
import { submitJob } from "./submit-job.ts";

/** Queues the coverage of the current network: 202, or 200 with the job that is there already. */
export function postNetworkCoverage(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const coverage = parseNetworkCoverage(parseJsonBody(req.body));
    const tenant = tenantOf(req);
    const request = toCoverageRequest(await currentNetwork(context.ledger, tenant), coverage);
    await submitJob(context, res, { tenant, kind: "coverage", request, masts: { request, at: "" }, texts: [] });
  };
}
