import type { JobKind } from "@fellmark/ledger";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { createJobNotFound, findJob } from "./find-job.ts";
import { replyState } from "./job-state.ts";

/** Queues a failed, cancelled or expired job again: 202. One that is done stays as it is: 200. */
export function retryJob({ ledger, queue, store, dispatch, config }: ApiContext, kind: JobKind): RequestHandler {
  return async (req, res) => {
    await store.requireRoom();
    await queue.check();
    const { tenant, id } = await findJob(ledger, req, kind);
    const job = await ledger.retry(tenant, id, config.unfinished);
    if (!job) throw createJobNotFound(kind);
    if (job.state === "queued") await dispatch(job);
    replyState(res, job.state === "done" ? 200 : 202, job);
  };
}
