import { type FellmarkError, TransientError } from "@fellmark/units";

/** Codes of failures that may not come again. Every other code is final: the same input would fail the same way. */
const RETRYABLE_CODES: ReadonlySet<string> = new Set([
  "worker_killed",
  "ledger_busy",
  "storage_failed",
  "storage_full",
  "source_unavailable",
  "source_changed",
  "raster_unreadable",
  "terrain_dir_missing",
]);

/** Whether another attempt may help. The code decides for errors that came over a process boundary. */
export function isRetryable(error: FellmarkError): boolean {
  return error instanceof TransientError || RETRYABLE_CODES.has(error.code);
}
