import type { PlanSpec } from "@fellmark/network";
import { complementaryNormal } from "@fellmark/propagation";
import { dbFromRatio, milliwattsFromDbm, ratioFromDb } from "@fellmark/units";
import { bestPlan } from "../link/best-plan.ts";
import type { Interference, LinkLevel } from "./link-level.ts";

/** What a link can lose before it stops to hold a SINR, and what it is expected to lose. */
export interface LinkMargins {
  fadeDb: number;
  sigmaDb: number;
  /** z(confidence). */
  confidenceFactor: number;
  downNoiseDbm: number;
  upNoiseDbm: number;
  interference: Interference;
}

/**
 * By how much the signal may fall until `sinrDb` is no longer reached, dB; negative where it never is, -Infinity where
 * the interference of the own mast alone, which falls with the signal, forbids it.
 */
function downMarginDb(level: LinkLevel, margins: LinkMargins, sinrDb: number): number {
  const ratio = ratioFromDb(sinrDb);
  const { sameMastMw, otherMastsMw } = margins.interference;
  const usefulMw = milliwattsFromDbm(level.signalDownDbm) - ratio * sameMastMw;
  if (usefulMw <= 0) return Number.NEGATIVE_INFINITY;
  return dbFromRatio(usefulMw / (ratio * (milliwattsFromDbm(margins.downNoiseDbm) + otherMastsMw)));
}

/** The same for the uplink, whose noise is the sector's with its noise rise. */
function upMarginDb(level: LinkLevel, margins: LinkMargins, sinrDb: number): number {
  return level.signalUpDbm - margins.upNoiseDbm - sinrDb;
}

/** Net Mbit/s that hold with fade and confidence margin. */
export function heldRates(level: LinkLevel, margins: LinkMargins): { downMbps: number; upMbps: number } {
  const { sinrDb, downMbps, upMbps } = level.link.rates;
  const neededDb = margins.fadeDb + margins.confidenceFactor * margins.sigmaDb;
  const fastest = (speeds: Float64Array, marginOf: typeof downMarginDb) => {
    let index = -1;
    while (index + 1 < sinrDb.length && marginOf(level, margins, sinrDb[index + 1]) >= neededDb) index++;
    return index < 0 ? 0 : speeds[index];
  };
  return { downMbps: fastest(downMbps, downMarginDb), upMbps: fastest(upMbps, upMarginDb) };
}

/** Number (from 1) of the first plan that holds both ways, or 0. */
export function heldPlan(plans: readonly PlanSpec[], level: LinkLevel, margins: LinkMargins): number {
  const { downMbps, upMbps } = heldRates(level, margins);
  return bestPlan(plans, downMbps, upMbps);
}

/** Probability that a plan holds: that of its weaker direction. Phi((margin - fade) / sigma). */
export function planProbability(plan: PlanSpec, level: LinkLevel, margins: LinkMargins): number {
  const { sinrDb, downMbps, upMbps } = level.link.rates;
  const down = downMbps.findIndex((speed) => speed >= plan.downMbps);
  const up = upMbps.findIndex((speed) => speed >= plan.upMbps);
  if (down < 0 || up < 0) return 0;
  const weakerDb = Math.min(downMarginDb(level, margins, sinrDb[down]), upMarginDb(level, margins, sinrDb[up]));
  return complementaryNormal((margins.fadeDb - weakerDb) / margins.sigmaDb);
}
