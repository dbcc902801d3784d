import { FellmarkError, TransientError, toErrorRecord } from "@fellmark/units";
import { type Job, Queue, UnrecoverableError, WaitingError, Worker } from "bullmq";
import type { Redis } from "ioredis";
import { HAND_OVER_MS, type JobHandler, type JobQueue, type JobRef } from "./queue.ts";
import { connectProducer, connectWorker, requireNoEviction } from "./redis-connections.ts";
import { waitUntilSettled } from "./settled-within.ts";

export interface BullmqQueueOptions {
  redisUrl: string;
  queueName?: string;
  /** Time for which a job stays with a worker that no longer answers, and between two looks for such jobs. */
  lockMs?: number;
  /** Pause before a job whose handler rejected is delivered again. */
  redeliverMs?: number;
  /** Called with every error of background work. */
  onError?: (error: unknown) => void;
}

/** Content of a job in Redis; the version is raised when its shape changes. */
interface Payload extends JobRef {
  version: 1;
}

/** The ledger decides when a job has had enough starts; here the count must only never run out. */
const WITHOUT_LIMIT = 1_000_000_000;

type Settings = Required<BullmqQueueOptions>;

/**
 * Queue in Redis. Rejects with TransientError when Redis does not answer, FellmarkError 'redis_policy' when it may evict.
 */
export async function openBullmqQueue(options: BullmqQueueOptions): Promise<JobQueue> {
  const defaults = { queueName: "fellmark-coverages", lockMs: 30_000, redeliverMs: 1_000, onError: () => {} };
  const settings: Settings = { ...defaults, ...options };
  const redis = await connectProducer(settings.redisUrl, settings.onError);
  try {
    await requireNoEviction(redis);
    const queue = createProducer(redis, settings);
    // It asks the server for its version once; were that answer lost later, every call would fail for ever.
    await queue.waitUntilReady();
    return new BullmqQueue(redis, queue, settings);
  } catch (error) {
    redis.disconnect();
    throw error instanceof FellmarkError ? error : createUnreachableError(error);
  }
}

function createProducer(redis: Redis, { queueName, redeliverMs, onError }: Settings): Queue<Payload> {
  const queue = new Queue<Payload>(queueName, {
    connection: redis,
    defaultJobOptions: {
      attempts: WITHOUT_LIMIT,
      backoff: { type: "fixed", delay: redeliverMs },
      removeOnComplete: true,
      removeOnFail: true,
      stackTraceLimit: 1,
      sizeLimit: 1_000,
    },
  });
  return queue.on("error", onError);
}

class BullmqQueue implements JobQueue {
  readonly #redis: Redis;
  readonly #queue: Queue<Payload>;
  readonly #settings: Settings;
  #consumer: { worker: Worker<Payload>; redis: Redis } | undefined;
  #closed: Promise<void> | undefined;

  constructor(redis: Redis, queue: Queue<Payload>, settings: Settings) {
    this.#redis = redis;
    this.#queue = queue;
    this.#settings = settings;
  }

  async enqueue({ tenant, id }: JobRef): Promise<void> {
    const jobId = toQueueJobId({ tenant, id });
    await reachRedis(async () => {
      // A job that ended and was kept would swallow the new one without a word.
      const state = await this.#queue.getJobState(jobId);
      if (state === "failed" || state === "completed") await this.#queue.remove(jobId);
      await this.#queue.add("cover", { version: 1, tenant, id }, { jobId });
    });
  }

  async remove(ref: JobRef): Promise<void> {
    await reachRedis(() => this.#queue.remove(toQueueJobId(ref)));
  }

  async work(handler: JobHandler, concurrency: number): Promise<void> {
    const { redisUrl, queueName, lockMs, onError } = this.#settings;
    const redis = connectWorker(redisUrl, onError);
    // Three declared arguments: without the third no signal is made.
    const process = (job: Job<Payload>, token: string | undefined, signal: AbortSignal | undefined) =>
      this.#run(handler, job, token, signal ?? new AbortController().signal);
    const worker = new Worker<Payload>(queueName, process, {
      connection: redis,
      concurrency,
      lockDuration: lockMs,
      stalledInterval: lockMs,
      maxStalledCount: WITHOUT_LIMIT,
      runRetryDelay: 1_000,
    });
    worker.on("error", onError);
    worker.on("lockRenewalFailed", (jobIds: string[]) => {
      for (const jobId of jobIds) worker.cancelJob(jobId, "the lock is lost");
    });
    this.#consumer = { worker, redis };
    await worker.waitUntilReady();
  }

  async check(): Promise<void> {
    const key = `${this.#queue.qualifiedName}:probe`;
    await reachRedis(() => this.#redis.set(key, "1", "PX", 60_000));
  }

  close(timeoutMs: number): Promise<void> {
    this.#closed ??= this.#closeWithin(timeoutMs);
    return this.#closed;
  }

  async #closeWithin(timeoutMs: number): Promise<void> {
    if (this.#consumer) await this.#closeConsumer(this.#consumer, timeoutMs);
    await waitUntilSettled(this.#queue.close(), HAND_OVER_MS);
    this.#redis.disconnect();
  }

  async #closeConsumer({ worker, redis }: { worker: Worker<Payload>; redis: Redis }, timeoutMs: number): Promise<void> {
    const closing = worker.close();
    if (!(await waitUntilSettled(closing, timeoutMs))) {
      worker.cancelAllJobs("the worker is closing");
      if (!(await waitUntilSettled(closing, HAND_OVER_MS))) await waitUntilSettled(worker.disconnect(), HAND_OVER_MS);
    }
    redis.disconnect();
  }

  async #run(handler: JobHandler, job: Job<Payload>, token: string | undefined, signal: AbortSignal): Promise<void> {
    try {
      await handler(parseRef(job.data), signal);
    } catch (thrown) {
      this.#settings.onError(thrown);
      if (!this.#closed || !signal.aborted) throw toError(thrown);
      await job.moveToWait(token);
      throw new WaitingError();
    }
  }
}

/** Custom ids with ':' or of digits only mean something else to the queue. */
function toQueueJobId({ tenant, id }: JobRef): string {
  return `${tenant}-${id}`;
}

function parseRef(data: Payload): JobRef {
  if (data.version === 1) return { tenant: data.tenant, id: data.id };
  // The reference goes; the reconciler puts the job in the queue again in a form that is understood.
  throw new UnrecoverableError(`a reference of version ${String(data.version)} is not understood`);
}

/** A string or undefined that was thrown would be recorded as no failure at all. */
function toError(thrown: unknown): Error {
  return thrown instanceof Error ? thrown : new Error(toErrorRecord(thrown).detail);
}

async function reachRedis<T>(command: () => Promise<T>): Promise<T> {
  try {
    return await command();
  } catch (error) {
    throw createUnreachableError(error);
  }
}

function createUnreachableError(cause: unknown): TransientError {
  return new TransientError("queue_unreachable", "the queue does not answer", { cause });
}
