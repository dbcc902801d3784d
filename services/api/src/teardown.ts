import type { Logger } from "pino";

/** Parts to close again, newest first. */
export interface Teardown {
  add(what: string, close: () => Promise<unknown>): void;
  /** Runs every step, also after one that fails; idempotent. */
  run(): Promise<void>;
}

export function createTeardown(logger: Logger): Teardown {
  const steps: { what: string; close: () => Promise<unknown> }[] = [];
  let done: Promise<void> | undefined;
  async function runAll(): Promise<void> {
    for (const { what, close } of steps.reverse()) {
      await close().catch((error: unknown) => logger.error({ err: error, what }, "could not close"));
    }
  }
  return {
    add: (what, close) => void steps.push({ what, close }),
    run: () => {
      done ??= runAll();
      return done;
    },
  };
}
