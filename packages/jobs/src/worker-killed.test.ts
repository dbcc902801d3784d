import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { type TempDir, tempDir, watchLines } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openStorage, type Storage } from "./storage.ts";
import { sampleJob } from "./testing/sample-job.ts";

const MAX_STARTS = 3;
/** Lease of the workers that are killed: so long does the next one wait. */
const LEASE_MS = 300;

let folder: TempDir;
let storage: Storage;
let child: ChildProcess | undefined;

beforeEach(async () => {
  folder = tempDir();
  storage = await openStorage({ dataDir: folder.path, onError: () => {} });
});
afterEach(async () => {
  child?.kill("SIGKILL");
  await storage.queue.close(0);
  await storage.ledger.close();
  folder.remove();
});

const a = sampleJob("a");
const b = sampleJob("b");

function stateOf({ tenant, id }: { tenant: string; id: string }) {
  return storage.ledger.find(tenant, id);
}

/** The processes run the built package. */
describe("worker process that is killed", () => {
  function spawnWorker(...faults: string[]) {
    const program = fileURLToPath(new URL("../dist/testing/crash-worker.js", import.meta.url));
    const args = [program, folder.path, String(LEASE_MS), ...faults];
    const started = spawn(process.execPath, args, { stdio: ["ignore", "pipe", "inherit"] });
    child = started;
    return { exited: once(started, "exit"), lines: watchLines(started.stdout) };
  }

  it.each(["after-begin", "before-publish", "after-publish"])(
    "%s loses nothing: the next one publishes the same (F1, F3)",
    async (point) => {
      const { tenant, id } = a;
      await storage.ledger.submit(a);
      const killed = spawnWorker(`${point}:1:kill`);
      expect(await killed.exited).toEqual([null, "SIGKILL"]);
      expect(await stateOf(a)).toMatchObject({ state: "running", attempt: 1, files: null });

      const successor = spawnWorker();
      await successor.lines.waitFor(/^published$/);
      const done = await stateOf(a);
      expect(done).toMatchObject({ state: "done", attempt: 2 });
      expect(done?.files?.find(({ name }) => name === "summary.json")).toEqual(unfaultedSummary);
      expect(readdirSync(join(folder.path, "results", "staged", tenant))).toEqual([]);
      expect(readdirSync(join(folder.path, "results", "published", tenant, id))).toEqual(["2"]);
    },
  );

  it("each time ends as failed after three starts, and the queue goes on (F4)", async () => {
    await storage.ledger.submit(a);
    for (let start = 1; start <= MAX_STARTS; start++) {
      const { exited } = spawnWorker("after-begin:1:kill");
      expect(await exited).toEqual([null, "SIGKILL"]);
    }
    await storage.ledger.submit(b);
    await spawnWorker().lines.waitFor(/^published$/);
    expect(await stateOf(a)).toMatchObject({ state: "failed", attempt: 4, error: { code: "worker_killed" } });
    expect(await stateOf(b)).toMatchObject({ state: "done" });
  });

  /** Of {"version":1,"name":"a"}, by sha256sum of GNU coreutils. */
  const unfaultedSummary = {
    name: "summary.json",
    bytes: 24,
    sha256: "e977f6f6ccfba66dd3efb5ff60b1e4f0f0db41fc6057008d061547ee54bdeb48",
  };
});
