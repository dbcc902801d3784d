import type { JobRecord } from "@fellmark/ledger";

/** Whether files of this attempt may still be wanted. Once not current, an attempt never is again. */
export function isCurrentAttempt(job: JobRecord | undefined, attempt: number): boolean {
  return job?.attempt === attempt && (job.state === "running" || job.state === "done");
}
