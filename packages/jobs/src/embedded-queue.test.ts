import { join } from "node:path";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openEmbeddedQueue } from "./embedded-queue.ts";
import type { JobQueue } from "./queue.ts";
import { collectDeliveries } from "./testing/deliveries.ts";
import { createHandClock, type HandClock } from "./testing/hand-clock.ts";
import { buildSampleJob } from "./testing/sample-job.ts";

const LEASE_MS = 30_000;
const POLL_MS = 200;

/** A worker with a clock of its own: what stands still for one process may go on for the other. */
interface Worker {
  queue: JobQueue;
  clock: HandClock;
}

describe("leases of the embedded queue", () => {
  let folder: TempDir;
  let workers: Worker[];
  const { tenant, id } = buildSampleJob("a");

  beforeEach(() => {
    folder = createTempDir();
    workers = [];
  });
  afterEach(async () => {
    await Promise.all(workers.map(({ queue }) => queue.close(0)));
    folder.remove();
  });

  async function openWorker(): Promise<Worker> {
    const clock = createHandClock();
    const path = join(folder.path, "ledger.sqlite");
    const queue = await openEmbeddedQueue({ path, clock, leaseMs: LEASE_MS, pollMs: POLL_MS });
    workers.push({ queue, clock });
    return { queue, clock };
  }

  it("starts a job of the same process without a poll", async () => {
    const { queue } = await openWorker();
    const { handler, next } = collectDeliveries();
    await queue.work(handler, 1);
    await queue.enqueue({ tenant, id });
    (await next()).finish();
  });

  it("lets another worker take over from a silent one, whose signal then aborts (F1, F5)", async () => {
    const [silent, other] = [await openWorker(), await openWorker()];
    const [fromSilent, fromOther] = [collectDeliveries(), collectDeliveries()];
    await silent.queue.work(fromSilent.handler, 1);
    await silent.queue.enqueue({ tenant, id });
    const lost = await fromSilent.next();
    await other.queue.work(fromOther.handler, 1);

    other.clock.advance(LEASE_MS - 1);
    await other.queue.check();
    expect(fromOther.waiting()).toBe(0);
    other.clock.advance(1 + POLL_MS);
    const taken = await fromOther.next();
    expect(taken.ref).toEqual({ tenant, id });

    const aborted = new Promise((resolve) => lost.signal.addEventListener("abort", resolve));
    silent.clock.advance(LEASE_MS);
    await aborted;
    expect(lost.signal.reason).toMatchObject({ code: "lease_lost" });
    lost.fail(lost.signal.reason);
    expect(taken.signal.aborted).toBe(false);
    taken.finish();
  });

  it("keeps a job for as long as its worker renews, far beyond one lease", async () => {
    const [busy, other] = [await openWorker(), await openWorker()];
    const [fromBusy, fromOther] = [collectDeliveries(), collectDeliveries()];
    await busy.queue.work(fromBusy.handler, 1);
    await busy.queue.enqueue({ tenant, id });
    const kept = await fromBusy.next();
    await other.queue.work(fromOther.handler, 1);
    for (let step = 0; step < 10; step++) {
      busy.clock.advance(LEASE_MS / 3);
      await busy.queue.check();
      other.clock.advance(LEASE_MS / 3);
      await other.queue.check();
    }
    expect(fromOther.waiting()).toBe(0);
    expect(kept.signal.aborted).toBe(false);
    kept.finish();
  });
});
