import { checkAdvice, listAntennaTexts, parseAdviceBody, parseJsonBody } from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { tenantOf } from "../http/tenant.ts";
import { composedBase } from "../network/composed-base.ts";
import { submitJob } from "./submit-job.ts";

/** Queues advice on the channels of a base: 202, or 200 with the job that is there already. */
export function postAdvice(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const body = parseAdviceBody(parseJsonBody(req.body));
    const tenant = tenantOf(req);
    const base = await composedBase(context.ledger, tenant, body.base);
    const request = { ...body, base };
    checkAdvice(request);
    const masts = { request: base, at: "/base" };
    const texts = "network" in body.base ? [] : listAntennaTexts(base, "/base");
    await submitJob(context, res, { tenant, kind: "advice", request, masts, texts });
  };
}
