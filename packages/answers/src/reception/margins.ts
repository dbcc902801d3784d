import { bestPlan, FOLLOWED_INTERFERERS, meanRateOverStates, type SectorNoise } from "@fellmark/coverage";
import type { PlanSpec } from "@fellmark/network";
import { complementaryNormal } from "@fellmark/propagation";
import type { RateThresholds } from "@fellmark/radio";
import { dbFromRatio, milliwattsFromDbm, ratioFromDb } from "@fellmark/units";
import { type Interference, interferenceMw } from "../interference/interference.ts";
import type { LinkLevel } from "./link-level.ts";

/** What a link can lose before it stops to hold a SINR, and what it is expected to lose. */
export interface LinkMargins {
  fadeDb: number;
  sigmaDb: number;
  /** z(confidence). */
  confidenceFactor: number;
  downNoiseDbm: number;
  /** What the sector hears. */
  upNoise: SectorNoise;
  interference: Interference;
}

/** A link through one port. */
export interface PortLink {
  level: LinkLevel;
  margins: LinkMargins;
}

/** A link: through the port with the lower SINR, which both streams go by, and where they differ the better one. */
export interface RatedLink extends PortLink {
  better: PortLink | null;
}

/** SINR at the CPE, all interference on average, dB. */
export function sinrDownDb({ level, margins }: PortLink): number {
  return level.signalDownDbm - margins.downNoiseDbm - noiseRiseDb(margins);
}

/** Rise of the CPE's noise by interference, dB. */
export function noiseRiseDb({ interference, downNoiseDbm }: LinkMargins): number {
  return dbFromRatio(1 + interferenceMw(interference) / milliwattsFromDbm(downNoiseDbm));
}

/**
 * By how much the signal may fall until `sinrDb` is no longer reached, dB; negative where it never is, -Infinity where
 * the interference of the own mast alone, which falls with the signal, forbids it.
 */
function downMarginDb({ level, margins }: PortLink, sinrDb: number): number {
  const ratio = ratioFromDb(sinrDb);
  const { ownSiteMw, otherSitesMw, emittersMw } = margins.interference;
  const usefulMw = milliwattsFromDbm(level.signalDownDbm) - ratio * ownSiteMw;
  if (usefulMw <= 0) return Number.NEGATIVE_INFINITY;
  const noiseMw = milliwattsFromDbm(margins.downNoiseDbm) + otherSitesMw + emittersMw;
  return dbFromRatio(usefulMw / (ratio * noiseMw));
}

/** Net Mbit/s that hold with fade and confidence margin. */
export function heldRates(link: RatedLink): { downMbps: number; upMbps: number } {
  const { rates } = link.level.link;
  const neededDb = neededMarginDb(link.margins);
  const both = downRate(link, rates.down, neededDb);
  const single = link.better ? downRate(link.better, rates.single.down, neededDb) : 0;
  return { downMbps: Math.max(both, single), upMbps: upRate(link, neededDb) };
}

function neededMarginDb({ fadeDb, confidenceFactor, sigmaDb }: LinkMargins): number {
  return fadeDb + confidenceFactor * sigmaDb;
}

function downRate(link: PortLink, rates: RateThresholds, neededDb: number): number {
  const { sinrDb, netMbps } = rates;
  if (link.margins.interference.intermittent.length > 0) return meanDownRate(link, rates, neededDb);
  let index = -1;
  while (index + 1 < sinrDb.length && downMarginDb(link, sinrDb[index + 1]) >= neededDb) index++;
  return index < 0 ? 0 : netMbps[index];
}

/** Mean rate over the states of the strongest interferers that come and go. */
function meanDownRate({ level, margins }: PortLink, { sinrDb, netMbps }: RateThresholds, neededDb: number): number {
  const lost = ratioFromDb(-neededDb);
  const { ownSiteMw, otherSitesMw, emittersMw, intermittent } = margins.interference;
  const strongest = intermittent
    .map(({ onMw, onShare, isOwnSite }) => ({ onMw: isOwnSite ? onMw * lost : onMw, onShare }))
    .sort((a, b) => b.onMw - a.onMw)
    .slice(0, FOLLOWED_INTERFERERS);
  const followedMw = strongest.reduce((sum, { onMw, onShare }) => sum + onMw * onShare, 0);
  const steadyMw = milliwattsFromDbm(margins.downNoiseDbm) + ownSiteMw * lost + otherSitesMw + emittersMw - followedMw;
  return meanRateOverStates(
    milliwattsFromDbm(level.signalDownDbm) * lost,
    steadyMw,
    strongest.map(({ onMw }) => onMw),
    strongest.map(({ onShare }) => onShare),
    strongest.length,
    sinrDb.map(ratioFromDb),
    Float64Array.of(0, ...netMbps),
  );
}

function upRate({ level, margins }: PortLink, neededDb: number): number {
  const { upLevelMw, upMbps } = margins.upNoise;
  const levelMw = milliwattsFromDbm(level.signalUpDbm - neededDb);
  return upMbps[upLevelMw.findLastIndex((least) => levelMw >= least) + 1];
}

/** Number (from 1) of the first plan that holds both ways, or 0. */
export function heldPlan(plans: readonly PlanSpec[], link: RatedLink): number {
  const { downMbps, upMbps } = heldRates(link);
  return bestPlan(plans, downMbps, upMbps);
}

/** Probability that a plan holds: that of its weaker direction. Phi((margin - fade) / sigma). */
export function planProbability(plan: PlanSpec, link: RatedLink): number {
  const { fadeDb, sigmaDb } = link.margins;
  const weakerDb = Math.min(planDownMarginDb(plan, link), planUpMarginDb(plan, link));
  return complementaryNormal((fadeDb - weakerDb) / sigmaDb);
}

/** By how much the signal may fall until the plan's down speed is lost, through both streams or a single one. */
function planDownMarginDb({ downMbps }: PlanSpec, link: RatedLink): number {
  const { rates } = link.level.link;
  const marginOf = (port: PortLink, { sinrDb, netMbps }: RateThresholds) => {
    const index = netMbps.findIndex((speed) => speed >= downMbps);
    return index < 0 ? Number.NEGATIVE_INFINITY : downMarginDb(port, sinrDb[index]);
  };
  const both = marginOf(link, rates.down);
  if (!link.better) return both;
  return Math.max(both, marginOf(link.better, rates.single.down));
}

function planUpMarginDb({ upMbps }: PlanSpec, { level, margins }: PortLink): number {
  const { upLevelMw, upMbps: speeds } = margins.upNoise;
  const step = speeds.findIndex((speed) => speed >= upMbps);
  return step < 1 ? Number.NEGATIVE_INFINITY : level.signalUpDbm - dbFromRatio(upLevelMw[step - 1]);
}
