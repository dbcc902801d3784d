import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { watchClockSteps } from "./clock-steps.ts";

describe("watch on steps of the wall clock (F17)", () => {
  beforeEach(() => void vi.useFakeTimers());
  afterEach(() => void vi.useRealTimers());

  it("tells a step in either direction from the passing of time", () => {
    const steps: number[] = [];
    let [wallMs, monotonicMs] = [1_700_000_000_000, 5_000];
    const stop = watchClockSteps((stepMs) => steps.push(stepMs), {
      wallMs: () => wallMs,
      monotonicMs: () => monotonicMs,
    });
    for (const stepMs of [0, 900, 3_600_000, 0, -3_600_000, 0]) {
      wallMs += 1_000 + stepMs;
      monotonicMs += 1_000;
      vi.advanceTimersByTime(1_000);
    }
    expect(steps).toEqual([3_600_000, -3_600_000]);
    stop();
  });
});
