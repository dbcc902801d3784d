export { checkLedger, type LedgerCheck } from "./check-ledger.ts";
export type { JobCompute } from "./compute-job.ts";
export { type RawSettings, type StorageSettings, toStorageSettings, toWholeNumber } from "./config.ts";
export { type ReachFaultPoint, toFaultPoint } from "./fault-point.ts";
export { HAND_OVER_MS, type JobQueue, type JobRef } from "./queue.ts";
export { removeJob } from "./remove-job.ts";
export { openStorage, type Storage } from "./storage.ts";
export { type RunningWorker, startWorker } from "./worker.ts";
