import {
  computeDownMargin,
  computeHoldProbability,
  computeKeptShare,
  computeSinr,
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

/** A link, told through the port that it goes by: see findLeadingPort. */
export interface RatedLink extends PortLink {
  /** By port of the CPE; one where both are alike. */
  ports: readonly PortLink[];
}

/** SINR at the CPE, all interference on average, dB. */
export function computeSinrDownDb({ level, margins }: PortLink): number {
  return level.signalDownDbm - margins.downNoiseDbm - computeNoiseRiseDb(margins);
}

/** SINR at the sector, all interference on average, dB. */
export function computeSinrUpDb({ level, margins }: PortLink): number {
  return level.signalUpDbm - margins.upNoise.meanDbm;
}

/** Rise of the CPE's noise by interference, dB. */
export function computeNoiseRiseDb({ interference, downNoiseDbm }: LinkMargins): number {
  return toDb(1 + sumInterferenceMw(interference) / toMilliwatts(downNoiseDbm));
}

/** Planned rates: net Mbit/s that hold with fade and confidence margin. */
export function findHeldRates(link: RatedLink): { downMbps: number; upMbps: number } {
  const { fadeDb, confidenceFactor, sigmaDb } = link.margins;
  return findRatesAt(link, computeKeptShare(fadeDb, confidenceFactor, sigmaDb));
}

/** Rates now: net Mbit/s of the link as predicted, without fading and without margins. */
export function findRatesNow(link: RatedLink): { downNowMbps: number; upNowMbps: number } {
  const { downMbps, upMbps } = findRatesAt(link, 1);
  return { downNowMbps: downMbps, upNowMbps: upMbps };
}

/** @param keptShare share of the signal's power that is left. */
function findRatesAt(link: RatedLink, keptShare: number): { downMbps: number; upMbps: number } {
  const { rates } = link.level.link;
  const [worse, better] = sortByDownSinr(link);
  const all = computeDownRate(worse, rates.down, keptShare);
  const single = better ? computeDownRate(better, rates.single.down, keptShare) : 0;
  return { downMbps: selectStreams(all, single), upMbps: computeUpRate(link, keptShare) };
}

/** The ports, that with the lower SINR first. */
function sortByDownSinr({ ports }: RatedLink): readonly PortLink[] {
  const [first, last] = ports;
  return last && computeSinrDownDb(last) < computeSinrDownDb(first) ? [last, first] : ports;
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
  const { upLevelMw, upMbps, singleUpLevelMw, singleUpMbps } = link.margins.upNoise;
  const { leastMw, mostMw } = findUpLevels(link);
  const all = upMbps[countReached(upLevelMw, leastMw * keptShare)];
  return selectStreams(all, singleUpMbps[countReached(singleUpLevelMw, mostMw * keptShare)]);
}

/** Levels at the sector's ports: what all streams go by, and what a single one does. */
function findUpLevels({ ports }: RatedLink): { leastMw: number; mostMw: number } {
  const levelsMw = ports.map(({ level }) => toMilliwatts(level.signalUpDbm));
  return { leastMw: Math.min(...levelsMw), mostMw: Math.max(...levelsMw) };
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
  const all = Math.min(...link.ports.map((port) => marginOf(port, rates.down)));
  return selectStreams(all, Math.max(...link.ports.map((port) => marginOf(port, rates.single.down))));
}

function planUpMargin({ upMbps }: PlanSpec, link: RatedLink): number {
  const { upNoise } = link.margins;
  const { leastMw, mostMw } = findUpLevels(link);
  const marginOf = (signalMw: number, levelMw: Float64Array, speeds: Float64Array) => {
    const step = speeds.findIndex((speed) => speed >= upMbps);
    return step < 1 ? 0 : signalMw / levelMw[step - 1];
  };
  return selectStreams(
    marginOf(leastMw, upNoise.upLevelMw, upNoise.upMbps),
    marginOf(mostMw, upNoise.singleUpLevelMw, upNoise.singleUpMbps),
  );
}
