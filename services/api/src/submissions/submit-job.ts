import type { JobKind, NewJob } from "@fellmark/ledger";
import {
  type AntennaText,
  type CoverageRequest,
  checkAntennaTexts,
  computeJobId,
  toCanonicalJson,
} from "@fellmark/network";
import type { Response } from "express";
import type { ApiContext } from "../context.ts";
import { replyState } from "../jobs/job-state.ts";

export interface Submission {
  tenant: string;
  kind: JobKind;
  /** Checked, in full: what the worker will compute. */
  request: object;
  /** The coverage whose masts must stand on known ground, and its JSON pointer in the body that was sent. */
  masts: { request: CoverageRequest; at: string };
  /** Texts of pattern files in the body; those of a network that was put were read then. */
  texts: readonly AntennaText[];
}

/**
 * Queues a job: 202, or 200 with the one that is there already. Refused before anything is written: an antenna's
 * text that cannot be read, a mast on unknown ground, a full queue or disk, a queue that does not answer.
 */
export async function submitJob(context: ApiContext, res: Response, submission: Submission): Promise<void> {
  const job = await newJob(context, submission);
  const { request, at } = submission.masts;
  const known = await context.ledger.find(job.tenant, job.id);
  if (known) return replyState(res, 200, known, await context.terrain.findSlips(request, at));
  await context.store.requireRoom();
  await context.queue.check();
  await checkAntennaTexts(submission.texts);
  const findings = await context.terrain.checkMasts(request, at);
  const limit = { maxUnfinished: context.config.maxUnfinishedJobs };
  const { job: stored, created } = await context.ledger.submit(job, limit);
  if (created) await context.dispatch(stored);
  replyState(res, created ? 202 : 200, stored, findings);
}

async function newJob(context: ApiContext, { tenant, kind, request, masts }: Submission): Promise<NewJob> {
  const identity = {
    tenant,
    canonicalRequest: toCanonicalJson(request),
    modelVersion: context.modelVersion,
    terrainFingerprint: await context.terrain.fingerprint(),
  };
  const { canonicalRequest, ...rest } = identity;
  return { ...rest, kind, id: computeJobId(identity), name: masts.request.name, request: canonicalRequest };
}
