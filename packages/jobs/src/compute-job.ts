import type { BatchTask, CallLimits, Compute } from "@fellmark/compute";
import type { JobKind, ResultFile } from "@fellmark/ledger";
import { parseAdviceRequest, parseBatchRequest, parseComparisonRequest, parseCoverageRequest } from "@fellmark/network";

/** The calls of the compute child that jobs make, one for each kind of job. */
export type JobCompute = Pick<Compute, "cover" | "compare" | "advise" | "batch">;

/** Fields of every task besides its request. */
export type TaskFolders = Omit<BatchTask, "request">;

/**
 * Checks a stored request again and has the compute child answer it into the task's folder. Returns the files it wrote.
 * Throws InputError for a request that is not understood, and whatever the child throws.
 */
export async function computeJob(
  compute: JobCompute,
  job: { kind: JobKind; request: string },
  folders: TaskFolders,
  limits: CallLimits,
): Promise<ResultFile[]> {
  const request: unknown = JSON.parse(job.request);
  switch (job.kind) {
    case "coverage":
      return compute.cover({ ...folders, request: parseCoverageRequest(request) }, limits);
    case "comparison":
      return compute.compare({ ...folders, request: parseComparisonRequest(request) }, limits);
    case "advice":
      return compute.advise({ ...folders, request: parseAdviceRequest(request) }, limits);
    case "batch":
      return compute.batch({ ...folders, request: parseBatchRequest(request) }, limits);
  }
}
