import type { EndClutterClass } from "@fellmark/propagation";
import { CLUTTER_KINDS } from "@fellmark/terrain";
import type { ClutterAround } from "../link/end-clutter.ts";

/** Steps of height to a metre, and in all: up to 128 m. */
const STEPS_PER_M = 4;
const HEIGHT_STEPS = 512;

/** Codes of measured clutter follow those of all kinds as classes tell them. */
const MEASURED_CODES = CLUTTER_KINDS.length * HEIGHT_STEPS;

/** Clutter of a cell as one number: its kind, its height to a quarter of a metre, whether it is measured. Below HEIGHT_STEPS: unknown. */
export function encodeClutter(kind: number, heightM: number, isMeasured: boolean): number {
  const code = kind * HEIGHT_STEPS + Math.min(HEIGHT_STEPS - 1, Math.round(heightM * STEPS_PER_M));
  return isMeasured ? code + MEASURED_CODES : code;
}

export function isKnownCode(code: number): boolean {
  return code >= HEIGHT_STEPS;
}

/** True for a class of land cover that is open water. */
export function isWaterCode(code: number): boolean {
  return readKind(code) === "water";
}

function readKind(code: number): EndClutterClass {
  return CLUTTER_KINDS[Math.floor(code / HEIGHT_STEPS) % CLUTTER_KINDS.length];
}

/** A value for every code. */
export function tabulateByClutter(toValue: (clutter: ClutterAround) => number): Float64Array {
  return Float64Array.from({ length: 2 * MEASURED_CODES }, (_, code) => {
    return toValue({
      kind: readKind(code),
      heightM: (code % HEIGHT_STEPS) / STEPS_PER_M,
      isMeasured: code >= MEASURED_CODES,
    });
  });
}
