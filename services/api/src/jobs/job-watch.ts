import type { JobRecord, Ledger } from "@fellmark/ledger";
import type { Logger } from "pino";
import type { Ticker } from "./ticker.ts";

/** Called with the row at every look; with undefined, once, when nothing more will come. */
export type JobListener = (job: JobRecord | undefined) => void;

/** Looks at ledger rows for any number of listeners: one poll a job, however many follow it. */
export interface JobWatch {
  /** Follows one job until the returned function is called. */
  follow(tenant: string, id: string, listener: JobListener): () => void;
  /** Tells every listener that nothing more will come. */
  close(): void;
}

interface Watched {
  listeners: Set<JobListener>;
  stop: () => void;
}

export interface JobWatchOptions {
  ledger: Pick<Ledger, "find">;
  ticker: Ticker;
  pollMs: number;
  logger: Logger;
}

export function createJobWatch({ ledger, ticker, pollMs, logger }: JobWatchOptions): JobWatch {
  const watchedByKey = new Map<string, Watched>();

  function start(tenant: string, id: string): Watched {
    const listeners = new Set<JobListener>();
    let looking = false;
    const look = async () => {
      if (looking) return;
      looking = true;
      try {
        const job = await ledger.find(tenant, id);
        for (const listener of [...listeners]) listener(job);
      } catch (error) {
        // The ledger may be busy; the next look will tell.
        logger.warn({ err: error, jobId: id }, "could not look at a job");
      } finally {
        looking = false;
      }
    };
    return { listeners, stop: ticker.every(pollMs, () => void look()) };
  }

  return {
    follow(tenant, id, listener) {
      const key = `${tenant}/${id}`;
      const watched = watchedByKey.get(key) ?? start(tenant, id);
      watchedByKey.set(key, watched);
      watched.listeners.add(listener);
      return () => {
        watched.listeners.delete(listener);
        if (watched.listeners.size > 0 || watchedByKey.get(key) !== watched) return;
        watched.stop();
        watchedByKey.delete(key);
      };
    },
    close() {
      for (const { listeners } of [...watchedByKey.values()])
        for (const listener of [...listeners]) listener(undefined);
    },
  };
}
