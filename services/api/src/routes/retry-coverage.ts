import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { replyState } from "../coverage-state.ts";
import { tenantOf } from "../tenant.ts";
import { coverageIdOf, noSuchCoverage } from "./find-coverage.ts";

/** Queues a failed, cancelled or expired coverage again: 202. One that is done stays as it is: 200. */
export function retryCoverage({ ledger, queue, dispatch }: ApiContext): RequestHandler {
  return async (req, res) => {
    await queue.check();
    const job = await ledger.retry(tenantOf(req), coverageIdOf(req));
    if (!job) throw noSuchCoverage();
    if (job.state === "queued") await dispatch(job);
    replyState(res, job.state === "done" ? 200 : 202, job);
  };
}
