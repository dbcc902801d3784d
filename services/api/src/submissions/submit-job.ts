import type { CheckedSubmission, SubmissionForm } from "@fellmark/compute";
import type { JobKind, NewJob } from "@fellmark/ledger";
import { computeJobId, type TerrainFacts } from "@fellmark/network";
import type { Response } from "express";
import type { Asker } from "../children/turns.ts";
import type { ApiContext } from "../context.ts";
import { replyState } from "../jobs/job-state.ts";

export interface Submission {
  tenant: string;
  asker: Asker;
  form: SubmissionForm;
  checked: CheckedSubmission;
}

const KINDS: Readonly<Record<SubmissionForm, JobKind>> = {
  coverage: "coverage",
  "network-coverage": "coverage",
  comparison: "comparison",
  advice: "advice",
  batch: "batch",
};

/**
 * Queues a job: 202, or 200 with the one that is there already. Refused before anything is written: a mast on unknown
 * ground, a full queue or disk, a queue that does not answer.
 */
export async function submitJob(context: ApiContext, res: Response, submission: Submission): Promise<void> {
  const { asker, form, checked } = submission;
  const { canonicalRequest } = checked;
  const findSlips = (facts: TerrainFacts | undefined) =>
    context.bodies.run(asker, "findSubmissionSlips", { form, canonicalRequest, facts });
  const job = await buildJob(context, submission);
  const known = await context.ledger.find(job.tenant, job.id);
  if (known) return replyState(res, 200, known, await context.terrain.findSlips({ ...checked, findSlips }));
  await context.store.requireRoom();
  await context.queue.check();
  const findings = await context.terrain.checkMasts({ ...checked, findSlips });
  const { job: stored, created } = await context.ledger.submit(job, context.config.unfinished);
  if (created) await context.dispatch(stored);
  replyState(res, created ? 202 : 200, stored, findings);
}

async function buildJob(context: ApiContext, { tenant, form, checked }: Submission): Promise<NewJob> {
  const { canonicalRequest, name, costS } = checked;
  const rest = {
    tenant,
    modelVersion: context.modelVersion,
    terrainFingerprint: await context.terrain.fingerprint(),
  };
  return {
    ...rest,
    kind: KINDS[form],
    id: computeJobId({ ...rest, canonicalRequest }),
    name,
    costS,
    request: canonicalRequest,
  };
}
