import {
  computeDownMargin,
  computeHoldProbability,
  computeKeptShare,
  computeSinr,
  computeUpSignal,
  countReached,
  createFollowed,
  findBestPlan,
  followInterferer,
  meanRateOverStates,
  rateIndex,
  type SectorNoise,
  selectStreams,
} from "@fellmark/coverage";
import type { PlanSpec } from "@fellmark/network";
import type { RateThresholds } from "@fellmark/radio";
import { toDb, toMilliwatts, toRatio } from "@fellmark/units";
import { type Interference, sumInterferenceMw } from "../interference/interference.ts";
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
export function computeSinrDownDb({ level, margins }: PortLink): number {
  return level.signalDownDbm - margins.downNoiseDbm - computeNoiseRiseDb(margins);
}

/** Rise of the CPE's noise by interference, dB. */
export function computeNoiseRiseDb({ interference, downNoiseDbm }: LinkMargins): number {
  return toDb(1 + sumInterferenceMw(interference) / toMilliwatts(downNoiseDbm));
}

/** Net Mbit/s that hold with fade and confidence margin. */
export function findHeldRates(link: RatedLink): { downMbps: number; upMbps: number } {
  const { rates } = link.level.link;
  const { fadeDb, confidenceFactor, sigmaDb } = link.margins;
  const keptShare = computeKeptShare(fadeDb, confidenceFactor, sigmaDb);
  const both = computeDownRate(link, rates.down, keptShare);
  const single = link.better ? computeDownRate(link.better, rates.single.down, keptShare) : 0;
  return { downMbps: selectStreams(both, single), upMbps: computeUpRate(link, keptShare) };
}

function computeDownRate(link: PortLink, { sinrDb, netMbps }: RateThresholds, keptShare: number): number {
  const signalMw = toMilliwatts(link.level.signalDownDbm);
  const { ownSiteMw, intermittent } = link.margins.interference;
  const rateSinr = sinrDb.map(toRatio);
  const speeds = Float64Array.of(0, ...netMbps);
  if (intermittent.length === 0) {
    return speeds[rateIndex(rateSinr, computeSinr(signalMw, sumSteadyMw(link.margins), ownSiteMw, keptShare))];
  }
  const followed = createFollowed();
  for (const { onMw, onShare, isOwnSite } of intermittent) {
    followInterferer(followed, isOwnSite ? onMw * keptShare : onMw, onShare);
  }
  const meanNoiseMw = sumSteadyMw(link.margins) + ownSiteMw * keptShare;
  return meanRateOverStates(signalMw * keptShare, meanNoiseMw, followed, rateSinr, speeds);
}

/** Noise of the CPE and the interference that does not fade with the signal. */
function sumSteadyMw({ downNoiseDbm, interference: { otherSitesMw, emittersMw } }: LinkMargins): number {
  return toMilliwatts(downNoiseDbm) + otherSitesMw + emittersMw;
}

function computeUpRate(link: RatedLink, keptShare: number): number {
  const { upLevelMw, upMbps } = link.margins.upNoise;
  return upMbps[countReached(upLevelMw, computeUpSignalMw(link) * keptShare)];
}

function computeUpSignalMw({ level, better }: RatedLink): number {
  const ownMw = toMilliwatts(level.signalUpDbm);
  return better ? computeUpSignal(ownMw, toMilliwatts(better.level.signalUpDbm)) : ownMw;
}

/** Number (from 1) of the first plan that holds both ways, or 0. */
export function findHeldPlan(plans: readonly PlanSpec[], link: RatedLink): number {
  const { downMbps, upMbps } = findHeldRates(link);
  return findBestPlan(plans, downMbps, upMbps);
}

/** Probability that a plan holds: that of its weaker direction. */
export function planProbability(plan: PlanSpec, link: RatedLink): number {
  const { fadeDb, sigmaDb } = link.margins;
  return computeHoldProbability(Math.min(planDownMargin(plan, link), planUpMargin(plan, link)), fadeDb, sigmaDb);
}

/** Ratio by which the signal may fall until the plan's down speed is lost, through both streams or a single one. */
function planDownMargin({ downMbps }: PlanSpec, link: RatedLink): number {
  const { rates } = link.level.link;
  const marginOf = ({ level, margins }: PortLink, { sinrDb, netMbps }: RateThresholds) => {
    const index = netMbps.findIndex((speed) => speed >= downMbps);
    if (index < 0) return 0;
    const signalMw = toMilliwatts(level.signalDownDbm);
    return computeDownMargin(signalMw, sumSteadyMw(margins), margins.interference.ownSiteMw, toRatio(sinrDb[index]));
  };
  const both = marginOf(link, rates.down);
  return link.better ? selectStreams(both, marginOf(link.better, rates.single.down)) : both;
}

function planUpMargin({ upMbps }: PlanSpec, link: RatedLink): number {
  const { upLevelMw, upMbps: speeds } = link.margins.upNoise;
  const step = speeds.findIndex((speed) => speed >= upMbps);
  return step < 1 ? 0 : computeUpSignalMw(link) / upLevelMw[step - 1];
}
