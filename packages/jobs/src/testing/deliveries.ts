import type { JobHandler, JobRef } from "../queue.ts";

/** A job that a queue has handed out; the test decides how it ends. */
export interface Delivery {
  ref: JobRef;
  signal: AbortSignal;
  finish: () => void;
  fail: (thrown: unknown) => void;
}

export interface Deliveries {
  handler: JobHandler;
  /** The next delivery, past or to come. */
  next(): Promise<Delivery>;
  /** Deliveries that nobody has asked for. */
  waiting(): number;
}

/** A handler that passes every job on to the test. */
export function collectDeliveries(): Deliveries {
  const arrived: Delivery[] = [];
  const wanted: ((delivery: Delivery) => void)[] = [];
  return {
    handler: (ref, signal) =>
      new Promise((finish, fail) => {
        const delivery = { ref, signal, finish, fail };
        const taker = wanted.shift();
        if (taker) taker(delivery);
        else arrived.push(delivery);
      }),
    next: () =>
      new Promise((resolve) => {
        const delivery = arrived.shift();
        if (delivery) resolve(delivery);
        else wanted.push(resolve);
      }),
    waiting: () => arrived.length,
  };
}
