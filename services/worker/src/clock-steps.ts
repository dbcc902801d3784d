const LOOK_MS = 1_000;
/** More than slewing can do in a second (adjtime slews by 0.5 ms a second), less than any lock. */
const LARGEST_SLEW_MS = 1_000;

interface Clocks {
  wallMs: () => number;
  monotonicMs: () => number;
}

const systemClocks: Clocks = { wallMs: Date.now, monotonicMs: () => performance.now() };

/** Calls back when the wall clock moves apart from the monotonic one by more than 1 s between two looks. */
export function watchClockSteps(onStep: (stepMs: number) => void, clocks = systemClocks): () => void {
  const apartMs = () => clocks.wallMs() - clocks.monotonicMs();
  let lastMs = apartMs();
  const timer = setInterval(() => {
    const nowMs = apartMs();
    const stepMs = Math.round(nowMs - lastMs);
    lastMs = nowMs;
    if (Math.abs(stepMs) > LARGEST_SLEW_MS) onStep(stepMs);
  }, LOOK_MS);
  return () => clearInterval(timer);
}
