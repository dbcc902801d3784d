import type { CallLimits, Compute, CoverTask } from "@fellmark/compute";
import type { JobKind } from "@fellmark/ledger";
import {
  type AdviceRequest,
  type ComparisonRequest,
  parseAdviceRequest,
  parseComparisonRequest,
  parseCoverageRequest,
} from "@fellmark/network";
import { FellmarkError } from "@fellmark/units";

/** A task of another kind than a coverage: the same folders, another request. */
type TaskOf<Request> = Omit<CoverTask, "request"> & { request: Request };

/** The calls of the compute child that jobs make, one for each kind of job. */
export interface JobCompute extends Pick<Compute, "cover"> {
  compare?(task: TaskOf<ComparisonRequest>, limits: CallLimits): Promise<void>;
  advise?(task: TaskOf<AdviceRequest>, limits: CallLimits): Promise<void>;
}

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
      if (!compute.compare) throw notComputed(job.kind);
      return compute.compare({ ...folders, request: parseComparisonRequest(request) }, limits);
    case "advice":
      if (!compute.advise) throw notComputed(job.kind);
      return compute.advise({ ...folders, request: parseAdviceRequest(request) }, limits);
  }
}

function notComputed(kind: JobKind): FellmarkError {
  return new FellmarkError("not_supported", `this worker computes no ${kind}`);
}
