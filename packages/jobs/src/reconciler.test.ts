import { TransientError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { silentLogger } from "./logger.ts";
import { RECONCILE_PERIOD_MS, startReconciler } from "./reconciler.ts";
import { createHandClock } from "./testing/hand-clock.ts";
import { buildSampleJob } from "./testing/sample-job.ts";

const row = {
  ...buildSampleJob("a"),
  name: "a",
  token: "0".repeat(32),
  pinned: false,
  state: "running" as const,
  progress: 0,
  attempt: 1,
  cancelRequested: false,
  error: null,
  files: null,
  createdAtMs: 0,
  updatedAtMs: 0,
  costS: 0,
};

describe("reconciler", () => {
  it("queues every unfinished job at the start and every 10 s, and outlives a queue that does not answer", async () => {
    const clock = createHandClock();
    const queued: string[] = [];
    let isDead = true;
    const enqueue = async ({ id }: { id: string }) => {
      if (isDead) throw new TransientError("queue_unreachable", "dead");
      queued.push(id);
    };
    const ledger = { listUnfinished: async () => [row] };
    const { stop } = await startReconciler({ ledger, queue: { enqueue }, clock, logger: silentLogger });
    expect(queued).toEqual([]);
    isDead = false;
    clock.advance(RECONCILE_PERIOD_MS);
    await new Promise(setImmediate);
    expect(queued).toEqual([row.id]);
    stop();
    clock.advance(RECONCILE_PERIOD_MS);
    await new Promise(setImmediate);
    expect(queued).toEqual([row.id]);
  });
});
