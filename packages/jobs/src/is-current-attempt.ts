import type { AttemptKey, JobRecord } from "@fellmark/ledger";

/** Whether files of this attempt may still be wanted. Once not current, an attempt never is again. */
export function isCurrentAttempt(job: JobRecord | undefined, { token }: AttemptKey): boolean {
  return job?.token === token && (job.state === "running" || job.state === "done");
}
