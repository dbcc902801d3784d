import { join } from "node:path";
import { PassThrough } from "node:stream";
import { openSqliteLedger } from "@fellmark/ledger";
import { computeJobId, toCanonicalJson } from "@fellmark/network";
import { createTempDir, type TempDir, watchLines } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { toConfig } from "./config.ts";
import { createLogger } from "./logger.ts";
import { startService } from "./service.ts";

/** A job that the compute child is never asked about: its stored request is not understood. */
const tenant = "default";
const identity = { canonicalRequest: toCanonicalJson({ version: 2 }), modelVersion: "m1", terrainFingerprint: "t1" };
const job = {
  tenant,
  kind: "coverage" as const,
  id: computeJobId({ tenant, ...identity }),
  request: identity.canonicalRequest,
  modelVersion: "m1",
  terrainFingerprint: "t1",
};

describe("worker service", () => {
  let folder: TempDir;
  beforeEach(() => {
    folder = createTempDir();
  });
  afterEach(() => folder.remove());

  it("fails a job whose stored request it does not understand (F48), and closes everything", async () => {
    const path = join(folder.path, "ledger.sqlite");
    const ledger = await openSqliteLedger(path);
    await ledger.submit(job);
    const output = new PassThrough();
    const ended = watchLines(output).waitFor(/"msg":"attempt ends"/);
    let isComputeClosed = false;
    const refuse = () => Promise.reject(new Error("must not be asked"));
    const service = await startService({
      config: toConfig({ FELLMARK_DATA_DIR: folder.path }),
      logger: createLogger("info", output),
      onUnfit: () => {},
      compute: {
        cover: refuse,
        compare: refuse,
        advise: refuse,
        batch: refuse,
        close: async () => {
          isComputeClosed = true;
        },
      },
    });
    await ended;
    await service.close(10_000);
    await service.close(10_000);
    expect(isComputeClosed).toBe(true);
    expect(await ledger.find(tenant, job.id)).toMatchObject({ state: "failed", error: { code: "invalid_input" } });
    await ledger.close();
  });
});
