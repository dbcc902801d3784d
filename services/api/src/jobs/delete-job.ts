import { removeJob } from "@fellmark/jobs";
import type { JobKind, JobRecord } from "@fellmark/ledger";
import { FellmarkError } from "@fellmark/units";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { createJobNotFound, findJob } from "./find-job.ts";
import { isTerminal, replyState } from "./job-state.ts";

/** Cancels a job that is queued or running (202); removes one that has ended, with its result (204). */
export function deleteJob(context: ApiContext, kind: JobKind): RequestHandler {
  return async (req, res) => {
    const job = await findJob(context.ledger, req, kind);
    if (!isTerminal(job.state)) return replyState(res, 202, await cancel(context, job));
    await remove(context, job);
    res.status(204).end();
  };
}

async function cancel({ ledger, queue, logger }: ApiContext, { tenant, id, kind }: JobRecord): Promise<JobRecord> {
  const job = await ledger.requestCancel(tenant, id);
  if (!job) throw createJobNotFound(kind);
  if (job.state === "cancelled") {
    // A worker may still draw the reference; the ledger will not let it begin.
    await queue.remove({ tenant, id }).catch((error: unknown) => logger.warn({ err: error }, "reference left queued"));
  }
  return job;
}

async function remove({ ledger, store }: ApiContext, { tenant, id }: JobRecord): Promise<void> {
  if (await removeJob({ ledger, store }, tenant, id)) return;
  if (await ledger.find(tenant, id)) throw new FellmarkError("conflict", "the job was queued again meanwhile");
}
