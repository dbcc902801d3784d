import type { LossCacheLimits } from "@fellmark/coverage";
import type { WorkerLedger, WorkerStore } from "@fellmark/ledger";
import type { Clock } from "./clock.ts";
import type { JobCompute } from "./compute-job.ts";
import type { ReachFaultPoint } from "./fault-point.ts";
import type { Logger } from "./logger.ts";

/** Everything that a job runs on. */
export interface JobContext {
  ledger: WorkerLedger;
  store: WorkerStore;
  compute: JobCompute;
  terrainDir: string;
  /** Folder of the loss cache. */
  cacheDir: string;
  /** Limits of that folder. */
  cacheLimits?: LossCacheLimits;
  /** Folder of the lists of premises. */
  premisesDir: string;
  /** Longest time one attempt may compute. */
  deadlineMs: number;
  /** Attempts a job has before its worker's death or a passing fault becomes final. */
  maxAttempts: number;
  /** Threads of one job; absent: the compute child decides. */
  threads?: number;
  logger: Logger;
  clock: Clock;
  reachFaultPoint: ReachFaultPoint;
}
