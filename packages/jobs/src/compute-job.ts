import type { CallLimits, Compute, CoverTask } from "@fellmark/compute";
import type { JobKind } from "@fellmark/ledger";
import { parseAdviceRequest, parseComparisonRequest, parseCoverageRequest } from "@fellmark/network";

/** The calls of the compute child that jobs make, one for each kind of job. */
export type JobCompute = Pick<Compute, "cover" | "compare" | "advise">;

/** What every task says besides its request. */
export type TaskFolders = Omit<CoverTask, "request">;

/**
 * Checks a stored request again and has the compute child answer it into the task's folder.
 * Throws InputError for a request that is not understood, and whatever the child throws.
 */
export async function computeJob(
  compute: JobCompute,
  job: { kind: JobKind; request: string },
  folders: TaskFolders,
  limits: CallLimits,
): Promise<void> {
  const request: unknown = JSON.parse(job.request);
  switch (job.kind) {
    case "coverage":
      return compute.cover({ ...folders, request: parseCoverageRequest(request) }, limits);
    case "comparison":
      return compute.compare({ ...folders, request: parseComparisonRequest(request) }, limits);
    case "advice":
      return compute.advise({ ...folders, request: parseAdviceRequest(request) }, limits);
  }
}
