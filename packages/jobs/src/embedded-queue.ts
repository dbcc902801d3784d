import { randomUUID } from "node:crypto";
import { type Leases, openSqliteLeases } from "@fellmark/ledger";
import { TransientError } from "@fellmark/units";
import { type Clock, systemClock } from "./clock.ts";
import { HAND_OVER_MS, type JobHandler, type JobQueue, type JobRef } from "./queue.ts";
import { waitUntilSettled } from "./settled-within.ts";

export interface EmbeddedQueueOptions {
  /** The ledger's SQLite file. */
  path: string;
  /** Time for which a job stays with a worker that no longer answers. */
  leaseMs?: number;
  /** Period of looking for jobs that another process has queued. */
  pollMs?: number;
  /** Pause before a job whose handler rejected is delivered again. */
  redeliverMs?: number;
  clock?: Clock;
  /** Called with every error of background work. */
  onError?: (error: unknown) => void;
}

/** Queue in the ledger's own file: a row a job, held by a lease that its worker renews. No server needed. */
export async function openEmbeddedQueue(options: EmbeddedQueueOptions): Promise<JobQueue> {
  return new EmbeddedQueue(await openSqliteLeases(options.path), options);
}

/** A job that this process holds. */
interface Held {
  ref: JobRef;
  token: string;
  renewedAtMs: number;
  abort: AbortController;
  stopRenewing: () => void;
  /** Resolves when the handler has ended and the lease is given up. */
  ended: Promise<void>;
}

class EmbeddedQueue implements JobQueue {
  readonly #leases: Leases;
  readonly #options: Required<Omit<EmbeddedQueueOptions, "path">>;
  readonly #inHand = new Set<Held>();
  #handler: JobHandler | undefined;
  #concurrency = 0;
  #taking: Promise<void> | undefined;
  #lookAgain = false;
  #stopPolling = () => {};
  #closed: Promise<void> | undefined;

  constructor(leases: Leases, options: EmbeddedQueueOptions) {
    this.#leases = leases;
    this.#options = {
      leaseMs: 30_000,
      pollMs: 200,
      redeliverMs: 1_000,
      clock: systemClock,
      onError: () => {},
      ...options,
    };
  }

  async enqueue(ref: JobRef): Promise<void> {
    await this.#leases.add(ref);
    this.#look();
  }

  remove(ref: JobRef): Promise<void> {
    return this.#leases.drop(ref, this.#options.clock.nowMs());
  }

  async work(handler: JobHandler, concurrency: number): Promise<void> {
    this.#handler = handler;
    this.#concurrency = concurrency;
    this.#stopPolling = this.#options.clock.every(this.#options.pollMs, () => this.#look());
    this.#look();
  }

  check(): Promise<void> {
    return this.#leases.check();
  }

  close(timeoutMs: number): Promise<void> {
    this.#closed ??= this.#closeWithin(timeoutMs);
    return this.#closed;
  }

  async #closeWithin(timeoutMs: number): Promise<void> {
    this.#stopPolling();
    if (!(await waitUntilSettled(this.#waitUntilIdle(), timeoutMs))) {
      for (const { abort } of this.#inHand) abort.abort(new TransientError("closing", "the worker is closing"));
      await waitUntilSettled(this.#waitUntilIdle(), HAND_OVER_MS);
    }
    for (const { stopRenewing } of this.#inHand) stopRenewing();
    await this.#leases.close();
  }

  async #waitUntilIdle(): Promise<void> {
    await this.#taking;
    await Promise.all([...this.#inHand].map(({ ended }) => ended));
  }

  /** Looks for free jobs, or has the look that is going on repeated. */
  #look(): void {
    this.#lookAgain = true;
    this.#taking ??= this.#takeFree().finally(() => {
      this.#taking = undefined;
      if (this.#mayTake()) this.#look();
    });
  }

  #mayTake(): boolean {
    return this.#lookAgain && !this.#closed && this.#inHand.size < this.#concurrency;
  }

  /** Takes free jobs until there are none or enough are in hand. Never rejects. */
  async #takeFree(): Promise<void> {
    const { clock, leaseMs, onError } = this.#options;
    try {
      while (this.#handler && this.#mayTake()) {
        this.#lookAgain = false;
        const token = randomUUID();
        const nowMs = clock.nowMs();
        const ref = await this.#leases.take(token, nowMs, leaseMs);
        if (!ref) continue;
        this.#lookAgain = true;
        if (this.#closed) await this.#leases.release(token, nowMs, 0);
        else this.#start(this.#handler, ref, token, nowMs);
      }
    } catch (error) {
      onError(error);
    }
  }

  #start(handler: JobHandler, ref: JobRef, token: string, nowMs: number): void {
    const { clock, leaseMs, onError } = this.#options;
    const held: Held = {
      ref,
      token,
      renewedAtMs: nowMs,
      abort: new AbortController(),
      stopRenewing: clock.every(leaseMs / 3, () => void this.#renew(held)),
      ended: Promise.resolve(),
    };
    this.#inHand.add(held);
    held.ended = this.#run(handler, held)
      .catch(onError)
      .finally(() => {
        held.stopRenewing();
        this.#inHand.delete(held);
        this.#look();
      });
  }

  async #run(handler: JobHandler, { ref, token, abort }: Held): Promise<void> {
    const { clock, redeliverMs, onError } = this.#options;
    try {
      await handler(ref, abort.signal);
    } catch (error) {
      onError(error);
      return this.#leases.release(token, clock.nowMs(), abort.signal.aborted ? 0 : redeliverMs);
    }
    await this.#leases.forget(token);
  }

  async #renew(held: Held): Promise<void> {
    const { clock, leaseMs, onError } = this.#options;
    const nowMs = clock.nowMs();
    try {
      if (await this.#leases.renew(held.token, nowMs)) held.renewedAtMs = nowMs;
      else held.abort.abort(new TransientError("lease_lost", "another worker took the job over"));
    } catch (error) {
      onError(error);
      if (nowMs - held.renewedAtMs >= leaseMs) held.abort.abort(error);
    }
  }
}
