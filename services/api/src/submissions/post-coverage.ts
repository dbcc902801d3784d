import { listAntennaTexts, parseCoverageRequest, parseJsonBody } from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { tenantOf } from "../http/tenant.ts";
import { submitJob } from "./submit-job.ts";

/** Queues a coverage: 202, or 200 with the job that is there already. */
export function postCoverage(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const request = parseCoverageRequest(parseJsonBody(req.body));
    const masts = { request, at: "" };
    const texts = listAntennaTexts(request);
    await submitJob(context, res, { tenant: tenantOf(req), kind: "coverage", request, masts, texts });
  };
}
