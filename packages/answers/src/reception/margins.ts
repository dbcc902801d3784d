import {
  computeDownRateMbps,
  computeHoldProbability,
  computeUpRateMbps,
  createDownPort,
  createFollowed,
  type DownPort,
  fillDownPort,
  findBestPlan,
  findDownReserve,
  findUpReserve,
  followInterferer,
  listStreamRates,
  type Margins,
  type PortLevels,
  type SectorNoise,
  sumUncertainLevels,
  type UpLink,
} from "@fellmark/coverage";
import type { PlanSpec } from "@fellmark/network";
import { toDb, toMilliwatts } from "@fellmark/units";
import { type Interference, sumInterferenceMw } from "../interference/interference.ts";
import type { LinkLevel } from "./link-level.ts";

/** Losses that a link can take before a SINR is lost, and those that it is expected to take. */
export interface LinkMargins {
  fadeDb: number;
  /** Spread of the signal. */
  sigmaDb: number;
  /** z(confidence). */
  confidenceFactor: number;
  downNoiseDbm: number;
  /** Noise and interference at the sector. */
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

/** Net speeds, Mbit/s. */
export interface Rates {
  downMbps: number;
  upMbps: number;
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

/** Spread of the signal over noise and mean interference at the CPE, dB. */
export function computeTotalSigmaDb({ sigmaDb, downNoiseDbm, interference }: LinkMargins): number {
  const changing = interference.intermittent
    .filter(({ isOwnSite }) => !isOwnSite)
    .map(({ onMw, onShare, sigmaDb: ofPathDb }) => ({ levelMw: onMw * onShare, sigmaDb: ofPathDb }));
  const { variance } = sumUncertainLevels(toMilliwatts(downNoiseDbm), [...interference.paths, ...changing]);
  return Math.sqrt(sigmaDb ** 2 + variance);
}

/** Planned rates: net Mbit/s that hold with fade and confidence margin. */
export function findHeldRates({ ports, margins }: RatedLink): Rates {
  return findRates(ports, margins);
}

/** Rates now: net Mbit/s of the link as predicted, without fading and without margins. */
export function findRatesNow({ ports }: RatedLink): { downNowMbps: number; upNowMbps: number } {
  const { downMbps, upMbps } = findRates(ports.map(dropErrors), { fadeDb: 0, confidenceFactor: 0 });
  return { downNowMbps: downMbps, upNowMbps: upMbps };
}

function findRates(ports: readonly PortLink[], margins: Margins): Rates {
  return {
    downMbps: computeDownRateMbps(ports.map(toDownPort), listStreamRates(ports[0].level.link.rates), margins),
    upMbps: computeUpRateMbps(toUpLink(ports), margins),
  };
}

/** A link whose interference no error of its paths raises. */
function dropErrors({ level, margins }: PortLink): PortLink {
  const { upNoise, interference } = margins;
  const toCertain = <Path extends { sigmaDb: number }>(path: Path): Path => ({ ...path, sigmaDb: 0 });
  return {
    level,
    margins: {
      ...margins,
      upNoise: { ...upNoise, up: { ...upNoise.up, raise: 1, variance: 0 } },
      interference: {
        ...interference,
        paths: interference.paths.map(toCertain),
        intermittent: interference.intermittent.map(toCertain),
      },
    },
  };
}

function toDownPort(link: PortLink): DownPort {
  const port = createDownPort();
  fillDownPort(port, toPortLevels(link));
  return port;
}

function toPortLevels({ level, margins }: PortLink): PortLevels {
  const { ownSiteMw, otherSitesMw, emittersMw, paths, intermittent } = margins.interference;
  const noiseMw = toMilliwatts(margins.downNoiseDbm);
  const followed = createFollowed();
  let changingMw = 0;
  for (const interferer of intermittent) {
    if (!interferer.isOwnSite) changingMw += interferer.onMw * interferer.onShare;
    followInterferer(followed, interferer);
  }
  return {
    ...{ signalMw: toMilliwatts(level.signalDownDbm), sigmaDb: margins.sigmaDb, noiseMw, ownSiteMw },
    ...{ constantMw: otherSitesMw + emittersMw - changingMw, changingMw },
    ...{ noise: sumUncertainLevels(noiseMw, paths), followed },
  };
}

function toUpLink(ports: readonly PortLink[]): UpLink {
  const { upNoise, sigmaDb } = ports[0].margins;
  const levelsMw = ports.map(({ level }) => toMilliwatts(level.signalUpDbm));
  const { all, single, raise, variance } = upNoise.up;
  return {
    ...{ leastMw: Math.min(...levelsMw), mostMw: Math.max(...levelsMw), all, single, raise },
    sigmaDb: Math.sqrt(sigmaDb ** 2 + variance),
  };
}

/** Number (from 1) of the first plan that holds both ways, or 0. */
export function findHeldPlan(plans: readonly PlanSpec[], link: RatedLink): number {
  const { downMbps, upMbps } = findHeldRates(link);
  return findBestPlan(plans, downMbps, upMbps);
}

/** Probability that a plan holds: that of its weaker direction. */
export function planProbability({ downMbps, upMbps }: PlanSpec, { ports, margins: { fadeDb } }: RatedLink): number {
  const rates = listStreamRates(ports[0].level.link.rates);
  const downReserve = findDownReserve(ports.map(toDownPort), rates, downMbps, fadeDb);
  return computeHoldProbability(Math.min(downReserve, findUpReserve(toUpLink(ports), upMbps, fadeDb)));
}
