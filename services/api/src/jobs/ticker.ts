/** Something that runs a function again and again; tests pass one that they drive by hand. */
export interface Ticker {
  /** Runs `run` every `periodMs`; the returned function stops it. */
  every(periodMs: number, run: () => void): () => void;
}

export const systemTicker: Ticker = {
  every(periodMs, run) {
    const timer = setInterval(run, periodMs);
    return () => clearInterval(timer);
  },
};
