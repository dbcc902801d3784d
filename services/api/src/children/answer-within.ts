/** Stands for an answer that did not come in time. */
export const NO_ANSWER: unique symbol = Symbol("no answer");

/** The value of the promise, or NO_ANSWER after `limitMs`; the work behind the promise goes on. */
export async function answerWithin<T>(work: Promise<T>, limitMs: number): Promise<T | typeof NO_ANSWER> {
  let timer: NodeJS.Timeout | undefined;
  const limit = new Promise<typeof NO_ANSWER>((resolve) => {
    timer = setTimeout(resolve, limitMs, NO_ANSWER);
  });
  // A rejection that arrives after the limit has nobody left to tell.
  work.catch(() => undefined);
  return Promise.race([work, limit]).finally(() => clearTimeout(timer));
}
