import {
  checkComparison,
  listAntennaTexts,
  listChangedTexts,
  parseComparisonBody,
  parseJsonBody,
} from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { tenantOf } from "../http/tenant.ts";
import { composedBase } from "../network/composed-base.ts";
import { submitJob } from "./submit-job.ts";

/** Queues the comparison of a base with itself after some changes: 202, or 200 with the job that is there already. */
export function postComparison(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const body = parseComparisonBody(parseJsonBody(req.body));
    const tenant = tenantOf(req);
    const base = await composedBase(context.ledger, tenant, body.base);
    const request = { ...body, base };
    checkComparison(request);
    const masts = { request: base, at: "/base" };
    const ownTexts = "network" in body.base ? [] : listAntennaTexts(base, "/base");
    const texts = [...ownTexts, ...listChangedTexts(body.changes, base)];
    await submitJob(context, res, { tenant, kind: "comparison", request, masts, texts });
  };
}
