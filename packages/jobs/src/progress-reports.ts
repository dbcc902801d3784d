import type { StartedJob, Verdict } from "@fellmark/ledger";
import { FellmarkError } from "@fellmark/units";
import { repeat } from "./clock.ts";
import type { JobContext } from "./job-context.ts";

/** Period of reports of progress to the ledger, whose answer tells of a cancel. */
export const REPORT_PERIOD_MS = 250;

/** The running report of one attempt. */
export interface ProgressReports {
  /** Takes what the compute child says; 0..1. */
  note: (progress: number) => void;
  /** Aborts when the ledger wants the attempt to end. */
  signal: AbortSignal;
  /** Last answer of the ledger. */
  verdict(): Verdict;
  stop(): void;
}

/** Reports progress to the ledger at a steady pace, however often it changes, and listens to the verdict. */
export function followProgress({ ledger, clock, logger }: JobContext, job: StartedJob): ProgressReports {
  const abort = new AbortController();
  let progress = 0;
  let verdict: Verdict = "go-on";

  async function report(): Promise<void> {
    if (verdict !== "go-on") return;
    try {
      verdict = await ledger.reportProgress(job, progress);
      if (verdict !== "go-on") abort.abort(new FellmarkError("cancelled", `the ledger says: ${verdict}`));
    } catch (error) {
      logger.warn({ err: error, jobId: job.id }, "progress not reported");
    }
  }

  return {
    note(reported) {
      if (reported > progress) progress = Math.min(reported, 1);
    },
    signal: abort.signal,
    verdict: () => verdict,
    stop: repeat(clock, REPORT_PERIOD_MS, report),
  };
}
