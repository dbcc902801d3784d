import { type FellmarkError, TransientError } from "@fellmark/units";

/** Faults of the disk, or of the folder that the service keeps its data in. */
const STORAGE_CODES: ReadonlySet<string> = new Set(["storage_failed", "storage_full"]);

/** Codes of failures that may not come again. Every other code is final: the same input would fail the same way. */
const RETRYABLE_CODES: ReadonlySet<string> = new Set([
  ...STORAGE_CODES,
  "worker_killed",
  "ledger_busy",
  "source_unavailable",
  "source_changed",
  "raster_unreadable",
  "terrain_dir_missing",
]);

/** Another attempt may help. The code decides for errors that came over a process boundary. */
export function isRetryable(error: FellmarkError): boolean {
  return error instanceof TransientError || RETRYABLE_CODES.has(error.code);
}

export function isStorageFault(thrown: unknown): boolean {
  return thrown instanceof Error && "code" in thrown && STORAGE_CODES.has(String(thrown.code));
}
