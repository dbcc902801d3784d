import type { NewJob } from "@fellmark/ledger";
import { type CoverageRequest, canonicalJson, jobIdOf, parseCoverageRequest } from "@fellmark/network";
import { FellmarkError } from "@fellmark/units";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { replyState } from "../coverage-state.ts";
import { parseJsonBody } from "../json-body.ts";
import { tenantOf } from "../tenant.ts";

/**
 * Queues a coverage: 202, or 200 with the job that is there already. Refused before anything is written: bad input,
 * a mast on unknown ground, a full queue, a queue that does not answer.
 */
export function postCoverage(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const request = parseCoverageRequest(parseJsonBody(req.body));
    const job = await newJob(context, tenantOf(req), request);
    const known = await context.ledger.find(job.tenant, job.id);
    if (known) return replyState(res, 200, known);
    await refuseWhenBusy(context, job.tenant);
    await context.terrain.refuseUnknownMasts(request);
    const { job: stored, created } = await context.ledger.submit(job);
    if (created) await context.dispatch(stored);
    replyState(res, created ? 202 : 200, stored);
  };
}

async function newJob(context: ApiContext, tenant: string, request: CoverageRequest): Promise<NewJob> {
  const identity = {
    tenant,
    canonicalRequest: canonicalJson(request),
    modelVersion: context.modelVersion,
    terrainFingerprint: await context.terrain.fingerprint(),
  };
  const { canonicalRequest, ...rest } = identity;
  return { ...rest, kind: "coverage", id: jobIdOf(identity), request: canonicalRequest };
}

async function refuseWhenBusy({ queue, ledger, config }: ApiContext, tenant: string): Promise<void> {
  await queue.check();
  if ((await ledger.countUnfinished(tenant)) < config.maxUnfinishedJobs) return;
  const detail = `${config.maxUnfinishedJobs} coverages are queued or running; wait until one ends`;
  throw new FellmarkError("too_many_jobs", detail);
}
