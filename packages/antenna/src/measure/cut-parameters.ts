import { toDb, toRatio } from "@fellmark/units";
import { findLobeEdge } from "./main-lobe.ts";
import type { PlaneCut } from "./plane-cuts.ts";

/** A side lobe: its level relative to the peak, and its angle off the peak (clockwise, or up). */
export interface SideLobe {
  levelDb: number;
  offDeg: number;
}

/** Parameters of one plane through the peak. */
export interface CutParameters {
  /** Angle between the directions of half the peak's power; 360 where the level never falls so far. */
  halfPowerWidthDeg: number;
  /** The higher of the two lobes next to the main lobe; null: there is none. */
  firstSideLobe: SideLobe | null;
  worstSideLobe: SideLobe | null;
  /** Mean of the power gain outside the main lobe, dBi; null where the lobe fills the circle. */
  meanOutsideLobeDbi: number | null;
}

const STEPS = 1800;
const STEP_DEG = 180 / STEPS;
const HALF_POWER_DB = toDb(0.5);
/** A ripple below this is not a lobe; the same limit as in `findLobeEdge`. */
const LEAST_RISE_DB = 0.01;

/** Returns the parameters of one plane, sampled every 0.1 degrees. */
export function measureCut(cut: PlaneCut): CutParameters {
  const sides = [sampleSide(cut, 1), sampleSide(cut, -1)];
  const width = sides[0].halfPowerDeg + sides[1].halfPowerDeg;
  const lobes = sides.flatMap(({ lobes }) => lobes);
  const outsideSteps = sides[0].outsideSteps + sides[1].outsideSteps;
  const outsidePower = sides[0].outsidePower + sides[1].outsidePower;
  return {
    halfPowerWidthDeg: width,
    firstSideLobe: findHighest(sides.flatMap(({ lobes }) => lobes.slice(0, 1))),
    worstSideLobe: findHighest(lobes),
    meanOutsideLobeDbi: outsideSteps > 0 ? toDb(outsidePower / outsideSteps) : null,
  };
}

/** Returns the worst level within 30 degrees of straight behind, and the level straight behind, in dB below the peak. */
export function measureFrontToBack(cut: PlaneCut): { worstDb: number; straightBehindDb: number } {
  const peakDbi = cut(0);
  let worstDbi = cut(180);
  for (let offDeg = 150; offDeg <= 180; offDeg += 0.5) worstDbi = Math.max(worstDbi, cut(offDeg), cut(-offDeg));
  return { worstDb: peakDbi - worstDbi, straightBehindDb: peakDbi - cut(180) };
}

function findHighest(lobes: readonly SideLobe[]): SideLobe | null {
  let best: SideLobe | null = null;
  for (const lobe of lobes) if (best === null || lobe.levelDb > best.levelDb) best = lobe;
  return best;
}

/** Samples one half of the circle, from the peak to straight behind. */
function sampleSide(cut: PlaneCut, sign: 1 | -1) {
  const peakDbi = cut(0);
  const offDeg = Float64Array.from({ length: STEPS }, (_, step) => (step + 1) * STEP_DEG);
  const levelDb = Float64Array.from(offDeg, (off) => cut(sign * off) - peakDbi);
  const { minimumDeg, edgeDeg } = findLobeEdge(offDeg, (step) => levelDb[step]);
  const outside = levelDb.filter((_, step) => offDeg[step] > edgeDeg);
  let outsidePower = 0;
  for (const level of outside) outsidePower += toRatio(peakDbi + level);
  return {
    halfPowerDeg: findCrossing(offDeg, levelDb, HALF_POWER_DB),
    lobes: findSideLobes(offDeg, levelDb, minimumDeg).map((lobe) => ({ ...lobe, offDeg: sign * lobe.offDeg })),
    outsideSteps: outside.length,
    outsidePower,
  };
}

/** Returns the angle at which the level first falls to `wantedDb`, linear between steps; 180 where it never does. */
function findCrossing(offDeg: Float64Array, levelDb: Float64Array, wantedDb: number): number {
  const at = levelDb.findIndex((level) => level <= wantedDb);
  if (at < 0) return 180;
  const [beforeDeg, beforeDb] = at === 0 ? [0, 0] : [offDeg[at - 1], levelDb[at - 1]];
  return beforeDeg + ((beforeDb - wantedDb) / (beforeDb - levelDb[at])) * (offDeg[at] - beforeDeg);
}

/** Returns the maxima beyond the main lobe, in order; a rise of more than LEAST_RISE_DB after a minimum starts a new one. */
function findSideLobes(offDeg: Float64Array, levelDb: Float64Array, fromDeg: number): SideLobe[] {
  const lobes: SideLobe[] = [];
  let rising = true;
  let extreme = { levelDb: Number.NEGATIVE_INFINITY, offDeg: 0 };
  for (let i = 0; i < offDeg.length; i++) {
    if (offDeg[i] <= fromDeg) continue;
    const here = { levelDb: levelDb[i], offDeg: offDeg[i] };
    if (rising ? here.levelDb >= extreme.levelDb : here.levelDb <= extreme.levelDb) {
      extreme = here;
    } else if (Math.abs(here.levelDb - extreme.levelDb) > LEAST_RISE_DB) {
      if (rising) lobes.push(extreme);
      rising = !rising;
      extreme = here;
    }
  }
  if (rising && extreme.offDeg > 0) lobes.push(extreme);
  return lobes;
}
