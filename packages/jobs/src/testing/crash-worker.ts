import { toFaultPoint } from "../fault-point.ts";
import { openStorage } from "../storage.ts";
import { startWorker } from "../worker.ts";
import { writeSampleResult } from "./sample-result.ts";

/**
 * A worker process for tests: `node crash-worker.js DATA_DIR LEASE_MS [FAULT]`. Its log goes to stdout, a line each;
 * "ready" when it takes jobs.
 */
const [dataDir = "", leaseMs = "", fault] = process.argv.slice(2);

const log = (_fields: object, message: string) => process.stdout.write(`${message}\n`);
const logger = { info: log, warn: log, error: log };
const storage = await openStorage({ dataDir, leaseMs: Number(leaseMs), onError: (error) => log({}, String(error)) });
await startWorker({
  ...storage,
  compute: { cover: writeSampleResult },
  terrainDir: "/terrain",
  deadlineMs: 60_000,
  maxAttempts: 3,
  logger,
  reachFaultPoint: toFaultPoint(fault),
});
log({}, "ready");
