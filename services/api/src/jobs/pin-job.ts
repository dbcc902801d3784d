import type { JobKind } from "@fellmark/ledger";
import type { Operation } from "../http/route-table.ts";
import { createJobNotFound, findJob } from "./find-job.ts";
import { describeJob } from "./list-jobs.ts";

/** Keeps the result of a job from being removed to free space, or gives it free again. */
export function pinJob(kind: JobKind, isPinned: boolean): Operation {
  return ({ ledger }) =>
    async (req, res) => {
      const { tenant, id } = await findJob(ledger, req, kind);
      const job = await ledger.setPinned(tenant, id, isPinned);
      if (!job) throw createJobNotFound(kind);
      res.set("Cache-Control", "no-store").json(describeJob(job));
    };
}
