import type { PlanCache, ThreadPool } from "@fellmark/sweep";
import type { LossCache } from "./loss-cache.ts";

/** Threads and caches that coverages and answers are computed with. */
export interface Engine {
  pool: ThreadPool;
  plans: PlanCache;
  /** Absent: every loss is swept anew. */
  losses?: LossCache;
}
