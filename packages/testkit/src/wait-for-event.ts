import { type EventEmitter, on } from "node:events";

/**
 * Resolves with the first payload of `event` that `accept` accepts. Rejects with the payload of an "error" event, and
 * after the time limit with the name of the event in the message.
 */
export async function waitForEvent<Payload>(
  emitter: EventEmitter,
  event: string,
  accept: (payload: Payload) => boolean = () => true,
  timeoutMs = 10_000,
): Promise<Payload> {
  const signal = AbortSignal.timeout(timeoutMs);
  try {
    for await (const [payload] of on(emitter, event, { signal })) {
      if (accept(payload)) return payload;
    }
  } catch (error) {
    if (!signal.aborted) throw error;
  }
  throw new Error(`no "${event}" within ${timeoutMs} ms`);
}
