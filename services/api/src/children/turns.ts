import { FellmarkError, TransientError } from "@fellmark/units";

export interface TurnLimits {
  /** Pieces of work at a time. */
  atOnce: number;
  /** Pieces of work that one caller has running or waiting. */
  perCaller: number;
  /** Pieces of work that wait, of all callers. */
  waiting: number;
}

/** Runs work in turns: callers take turns one after another, however much one of them asks. */
export interface Turns {
  /**
   * The value of the work once its turn came. Work whose signal is aborted before its turn is never started.
   * Throws FellmarkError `too_many_questions` for a caller over its share, TransientError `busy` when too many wait.
   */
  run<T>(asker: Asker, work: () => Promise<T>): Promise<T>;
}

/** The caller, with a signal that ends when the answer is no longer wanted. */
export interface Asker {
  caller: string;
  signal: AbortSignal;
}

interface Waiting {
  start: () => void;
  asker: Asker;
}

export function createTurns(limits: TurnLimits): Turns {
  const waitingBy = new Map<string, Waiting[]>();
  const heldBy = new Map<string, number>();
  let running = 0;
  let waiting = 0;

  function hold(caller: string): void {
    const held = heldBy.get(caller) ?? 0;
    if (held >= limits.perCaller)
      throw new FellmarkError("too_many_questions", `${limits.perCaller} questions of this caller are open already`);
    if (running >= limits.atOnce && waiting >= limits.waiting)
      throw new TransientError("busy", `${limits.waiting} questions wait already`);
    heldBy.set(caller, held + 1);
  }

  function giveBack(caller: string): void {
    const left = (heldBy.get(caller) ?? 1) - 1;
    if (left > 0) heldBy.set(caller, left);
    else heldBy.delete(caller);
  }

  /** The next of the caller whose turn it is; that caller goes to the end of the row. */
  function takeNext(): Waiting | undefined {
    const [caller, row] = waitingBy.entries().next().value ?? [];
    if (caller === undefined || row === undefined) return undefined;
    const next = row.shift();
    waitingBy.delete(caller);
    if (row.length > 0) waitingBy.set(caller, row);
    waiting--;
    return next;
  }

  function startNext(): void {
    while (running < limits.atOnce) {
      const next = takeNext();
      if (!next) return;
      next.start();
    }
  }

  function awaitTurn(asker: Asker): Promise<void> {
    return new Promise((resolve, reject) => {
      const leave = () => {
        const row = (waitingBy.get(asker.caller) ?? []).filter((other) => other !== entry);
        if (row.length > 0) waitingBy.set(asker.caller, row);
        else waitingBy.delete(asker.caller);
        waiting--;
        reject(new TransientError("cancelled", "the caller left before its turn"));
      };
      const entry: Waiting = {
        asker,
        start: () => {
          running++;
          asker.signal.removeEventListener("abort", leave);
          resolve();
        },
      };
      asker.signal.addEventListener("abort", leave, { once: true });
      waitingBy.set(asker.caller, [...(waitingBy.get(asker.caller) ?? []), entry]);
      waiting++;
      startNext();
    });
  }

  return {
    async run(asker, work) {
      hold(asker.caller);
      try {
        if (asker.signal.aborted) throw new TransientError("cancelled", "the caller left before its turn");
        await awaitTurn(asker);
        try {
          return await work();
        } finally {
          running--;
          startNext();
        }
      } finally {
        giveBack(asker.caller);
      }
    },
  };
}
