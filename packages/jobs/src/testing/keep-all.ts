import type { RetentionLimits } from "../retention.ts";

/** Limits that nothing of a test reaches. */
export const KEEP_ALL: RetentionLimits = {
  resultsBytes: Number.MAX_SAFE_INTEGER,
  resultsMs: Number.MAX_SAFE_INTEGER,
  batchesMs: Number.MAX_SAFE_INTEGER,
  endedMs: Number.MAX_SAFE_INTEGER,
  networksBytes: Number.MAX_SAFE_INTEGER,
  networksMs: Number.MAX_SAFE_INTEGER,
  lossCache: { maxBytes: Number.MAX_SAFE_INTEGER },
  minFreeBytes: 0,
};
