import type { AttemptKey, JobRecord } from "@fellmark/ledger";

/** True while files of this attempt may still be wanted. An attempt that is not current never becomes current again. */
export function isCurrentAttempt(job: JobRecord | undefined, { token }: AttemptKey): boolean {
  return job?.token === token && (job.state === "running" || job.state === "done");
}
