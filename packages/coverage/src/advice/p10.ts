import { toDb } from "@fellmark/units";
import { computeSinr } from "../link/link-physics.ts";
import { type AdviceProblem, type ChannelPlan, type ChannelUse, SILENT } from "./advice-problem.ts";
import { lookUpRate } from "./graded-rate.ts";

/** Values that nine tenths of a sector's places reach after their margins. */
export interface P10 {
  sinrDownDb: number;
  sinrUpDb: number;
  downMbps: number;
  upMbps: number;
}

/** The 10th percentile of a sector under a plan; SINR is linear. */
export interface LinearP10 {
  sinrDown: number;
  sinrUp: number;
}

/**
 * Downlink and uplink SINR of the 10th percentile of a sector's places, linear, with all other sectors on the channels
 * of the plan. Interference is taken at its mean over time. A sector without places has Infinity.
 */
export function computeP10Sinr(problem: AdviceProblem, plan: ChannelPlan, sector: number): LinearP10 {
  return {
    sinrDown: findLowestTenth(computeDownSinr(problem, plan, sector)),
    sinrUp: problem.sectors[sector].points.worstUpMw * computeUpFactor(problem, plan, sector),
  };
}

export function computeP10(problem: AdviceProblem, plan: ChannelPlan, sector: number): P10 {
  const { sinrDown, sinrUp } = computeP10Sinr(problem, plan, sector);
  const use = problem.sectors[sector].uses[plan[sector]];
  return {
    sinrDownDb: toDb(sinrDown),
    sinrUpDb: toDb(sinrUp),
    downMbps: lookUpRate(use.down, sinrDown),
    upMbps: lookUpRate(use.up, sinrUp),
  };
}

/** Downlink SINR of every place of a sector after its margin, linear. Own-site interference falls with the signal. */
export function computeDownSinr(problem: AdviceProblem, plan: ChannelPlan, sector: number): Float64Array {
  const own = problem.sectors[sector];
  const { count, levelMw, margin } = own.points;
  const { downScale, noiseDownMw } = findUse(problem, plan, sector);
  const sources = problem.sectors.length + problem.emitters;
  const { sameSite, others } = computeDownFactors(problem, plan, sector);
  const sinr = new Float64Array(count);
  for (let point = 0; point < count; point++) {
    const at = point * sources;
    let ownSiteMw = 0;
    let farMw = noiseDownMw;
    for (let source = 0; source < sources; source++) {
      ownSiteMw += levelMw[at + source] * sameSite[source];
      farMw += levelMw[at + source] * others[source];
    }
    sinr[point] = computeSinr(levelMw[at + sector] * downScale, farMw, ownSiteMw, margin[point]);
  }
  return sinr;
}

/** Returns the factors of the sources' levels: of those on the sector's own site, and of all others. */
function computeDownFactors(problem: AdviceProblem, plan: ChannelPlan, sector: number) {
  const { sectors, emitters, channels } = problem;
  const own = sectors[sector];
  const { coupling, emitterCoupling } = own;
  const to = plan[sector];
  const sameSite = new Float64Array(sectors.length + emitters);
  const others = new Float64Array(sameSite.length);
  sectors.forEach(({ site, uses }, source) => {
    const from = plan[source];
    if (source === sector || from === SILENT) return;
    const factor = coupling[from * channels.length + to] * own.baseOnDown[source] * uses[from].downScale;
    (site === own.site ? sameSite : others)[source] = factor;
  });
  for (let emitter = 0; emitter < emitters; emitter++) {
    const source = sectors.length + emitter;
    others[source] = emitterCoupling[emitter * channels.length + to] * own.baseOnDown[source];
  }
  return { sameSite, others };
}

/** Uplink SINR of every place of a sector after its margin, linear. */
export function computeUpSinr(problem: AdviceProblem, plan: ChannelPlan, sector: number): Float64Array {
  const { upMw, margin } = problem.sectors[sector].points;
  const factor = computeUpFactor(problem, plan, sector);
  return upMw.map((levelMw, point) => levelMw * margin[point] * factor);
}

/** Uplink SINR for each mW of today's level. */
function computeUpFactor(problem: AdviceProblem, plan: ChannelPlan, sector: number): number {
  return findUse(problem, plan, sector).upScale / computeUpNoiseMw(problem, plan, sector);
}

/** Noise and mean interference at a sector's receiver, mW. */
function computeUpNoiseMw({ sectors, channels, emitters }: AdviceProblem, plan: ChannelPlan, sector: number): number {
  const own = sectors[sector];
  const to = plan[sector];
  let noiseMw = own.uses[to].noiseUpMw;
  for (let source = 0; source < sectors.length; source++) {
    const from = plan[source];
    if (source === sector || from === SILENT) continue;
    const use = sectors[source].uses[from];
    const heardMw =
      own.baseMw[source] * own.baseOnUp[source] * use.downScale +
      own.subscriberMw[source] * own.subscriberOnUp[source] * use.upScale;
    noiseMw += heardMw * own.coupling[from * channels.length + to];
  }
  for (let emitter = 0; emitter < emitters; emitter++) {
    noiseMw += own.emitterMw[emitter] * own.emitterCoupling[emitter * channels.length + to];
  }
  return noiseMw;
}

function findUse({ sectors }: AdviceProblem, plan: ChannelPlan, sector: number): ChannelUse {
  return sectors[sector].uses[plan[sector]];
}

/** The value that nine tenths reach or exceed; Infinity where there is none. Reorders the values. */
export function findLowestTenth(values: Float64Array): number {
  if (values.length === 0) return Number.POSITIVE_INFINITY;
  return selectRank(values, Math.floor((values.length - 1) / 10));
}

/** The value at a place of the rising order. Source: C. A. R. Hoare, Algorithm 65: Find, CACM 4 (1961). */
function selectRank(values: Float64Array, rank: number): number {
  let low = 0;
  let high = values.length - 1;
  while (low < high) {
    const pivot = values[(low + high) >> 1];
    let left = low - 1;
    let right = high + 1;
    for (;;) {
      while (values[++left] < pivot);
      while (values[--right] > pivot);
      if (left >= right) break;
      const kept = values[left];
      values[left] = values[right];
      values[right] = kept;
    }
    if (rank <= right) high = right;
    else low = right + 1;
  }
  return values[rank];
}
