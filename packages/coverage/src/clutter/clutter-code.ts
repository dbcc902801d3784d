import type { EndClutterClass } from "@fellmark/propagation";

/** Steps of height to a metre, and in all: up to 128 m. */
const STEPS_PER_M = 4;
const HEIGHT_STEPS = 512;

/** What stands on a cell as one number: its kind and its height to a quarter of a metre. Below HEIGHT_STEPS: unknown. */
export function clutterCode(kind: number, heightM: number): number {
  return kind * HEIGHT_STEPS + Math.min(HEIGHT_STEPS - 1, Math.round(heightM * STEPS_PER_M));
}

export function isKnownCode(code: number): boolean {
  return code >= HEIGHT_STEPS;
}

/** A value for every code. */
export function byClutterCode(
  kinds: readonly EndClutterClass[],
  toValue: (kind: EndClutterClass, heightM: number) => number,
): Float64Array {
  return Float64Array.from({ length: kinds.length * HEIGHT_STEPS }, (_, code) =>
    toValue(kinds[Math.floor(code / HEIGHT_STEPS)], (code % HEIGHT_STEPS) / STEPS_PER_M),
  );
}
