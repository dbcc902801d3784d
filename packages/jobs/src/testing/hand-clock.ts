import type { Clock } from "../clock.ts";

/** A clock that only moves by hand. */
export interface HandClock extends Clock {
  /** Moves on, calling what falls due, in order. */
  advance(ms: number): void;
}

export function createHandClock(startMs = 1_000_000): HandClock {
  let nowMs = startMs;
  const timers = new Set<{ periodMs: number; dueMs: number; run: () => void }>();
  return {
    nowMs: () => nowMs,
    every(periodMs, run) {
      const timer = { periodMs, dueMs: nowMs + periodMs, run };
      timers.add(timer);
      return () => timers.delete(timer);
    },
    advance(ms) {
      const endMs = nowMs + ms;
      for (;;) {
        const [next] = [...timers].filter(({ dueMs }) => dueMs <= endMs).sort((a, b) => a.dueMs - b.dueMs);
        if (!next) break;
        nowMs = next.dueMs;
        next.dueMs += next.periodMs;
        next.run();
      }
      nowMs = endMs;
    },
  };
}
