import { toFaultPoint } from "../fault-point.ts";
import { openStorage } from "../storage.ts";
import { startWorker } from "../worker.ts";
import { createCoverOnly } from "./cover-only.ts";
import { KEEP_ALL } from "./keep-all.ts";
import { writeSampleResult } from "./sample-result.ts";

/**
 * A worker process for tests: `node crash-worker.js DATA_DIR LEASE_MS FAULT REDIS_URL`, the last two may be empty. Its log goes to stdout, a line each;
 * "ready" when it takes jobs.
 */
const [dataDir = "", leaseMs = "", fault = "", redisUrl = ""] = process.argv.slice(2);

const log = (_fields: object, message: string) => process.stdout.write(`${message}\n`);
const logger = { info: log, warn: log, error: log };
const onError = (error: unknown) => log({}, String(error));
const storage = await openStorage({ dataDir, redisUrl, leaseMs: Number(leaseMs), onError });
await startWorker({
  ...storage,
  compute: createCoverOnly(writeSampleResult),
  terrainDir: "/terrain",
  deadlineMs: 60_000,
  maxAttempts: 3,
  retention: KEEP_ALL,
  logger,
  reachFaultPoint: toFaultPoint(fault || undefined),
});
log({}, "ready");
