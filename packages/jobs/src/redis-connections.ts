import { FellmarkError, TransientError } from "@fellmark/units";
import { Redis } from "ioredis";

type OnError = (error: unknown) => void;

/**
 * A connection that fails fast, for whoever waits for an answer: every command ends within 1.5 s, none is kept for later.
 * A command that timed out may still be carried out. Rejects with TransientError when the server does not answer.
 */
export async function connectProducer(url: string, onError: OnError): Promise<Redis> {
  const redis = new Redis(url, {
    lazyConnect: true,
    enableOfflineQueue: false,
    maxRetriesPerRequest: 1,
    commandTimeout: 1_500,
    connectTimeout: 1_000,
    retryStrategy: (times) => Math.min(times * 50, 500),
  });
  redis.on("error", onError);
  try {
    await redis.connect();
  } catch (error) {
    redis.disconnect();
    throw new TransientError("queue_unreachable", "Redis does not answer", { cause: error });
  }
  return redis;
}

/** A connection that waits for the server to come back, for workers. Reading blocks for 5 s at most, hence the limit. */
export function connectWorker(url: string, onError: OnError): Redis {
  const redis = new Redis(url, {
    maxRetriesPerRequest: null,
    connectTimeout: 5_000,
    socketTimeout: 30_000,
    retryStrategy: (times) => Math.min(times * 100, 1_000),
  });
  redis.on("error", onError);
  return redis;
}

/** Throws FellmarkError 'redis_policy' for a server that may drop jobs when its memory is full. */
export async function requireNoEviction(redis: Redis): Promise<void> {
  const policy = /^maxmemory_policy:(\S+)/m.exec(await redis.info("memory"))?.[1];
  if (policy === "noeviction") return;
  throw new FellmarkError("redis_policy", `Redis must run with maxmemory-policy noeviction; it has ${policy}`);
}
