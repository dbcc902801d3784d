import { dbFromRatio, ratioFromDb } from "@fellmark/units";
import { lobeEdge } from "./main-lobe.ts";
import type { PlaneCut } from "./plane-cuts.ts";

/** A side lobe: its level relative to the peak, and its angle off the peak (clockwise, or up). */
export interface SideLobe {
  levelDb: number;
  offDeg: number;
}

/** What one plane through the peak says. */
export interface CutParameters {
  /** Between the directions of half the peak's power; 360 where the level never falls so far. */
  halfPowerWidthDeg: number;
  /** The higher of the two that follow the main lobe; null: no lobe follows. */
  firstSideLobe: SideLobe | null;
  worstSideLobe: SideLobe | null;
  /** Mean of the power gain outside the main lobe, dBi; null where the lobe fills the circle. */
  meanOutsideLobeDbi: number | null;
}

const STEPS = 1800;
const STEP_DEG = 180 / STEPS;
const HALF_POWER_DB = dbFromRatio(0.5);
/** A ripple under this is no lobe; the same grain as in `lobeEdge`. */
const LEAST_RISE_DB = 0.01;

/** Measures of one plane, every 0.1 degrees. */
export function measureCut(cut: PlaneCut): CutParameters {
  const sides = [side(cut, 1), side(cut, -1)];
  const width = sides[0].halfPowerDeg + sides[1].halfPowerDeg;
  const lobes = sides.flatMap(({ lobes }) => lobes);
  const outsideSteps = sides[0].outsideSteps + sides[1].outsideSteps;
  const outsidePower = sides[0].outsidePower + sides[1].outsidePower;
  return {
    halfPowerWidthDeg: width,
    firstSideLobe: highest(sides.flatMap(({ lobes }) => lobes.slice(0, 1))),
    worstSideLobe: highest(lobes),
    meanOutsideLobeDbi: outsideSteps > 0 ? dbFromRatio(outsidePower / outsideSteps) : null,
  };
}

/** Worst level within 30 degrees of straight behind, and the level straight behind, as ratios below the peak. */
export function frontToBack(cut: PlaneCut): { worstDb: number; straightBehindDb: number } {
  const peakDbi = cut(0);
  let worstDbi = cut(180);
  for (let offDeg = 150; offDeg <= 180; offDeg += 0.5) worstDbi = Math.max(worstDbi, cut(offDeg), cut(-offDeg));
  return { worstDb: peakDbi - worstDbi, straightBehindDb: peakDbi - cut(180) };
}

function highest(lobes: readonly SideLobe[]): SideLobe | null {
  let best: SideLobe | null = null;
  for (const lobe of lobes) if (best === null || lobe.levelDb > best.levelDb) best = lobe;
  return best;
}

/** One half of the circle, from the peak to straight behind. */
function side(cut: PlaneCut, sign: 1 | -1) {
  const peakDbi = cut(0);
  const offDeg = Float64Array.from({ length: STEPS }, (_, step) => (step + 1) * STEP_DEG);
  const levelDb = Float64Array.from(offDeg, (off) => cut(sign * off) - peakDbi);
  const { minimumDeg, edgeDeg } = lobeEdge(offDeg, (step) => levelDb[step]);
  const outside = levelDb.filter((_, step) => offDeg[step] > edgeDeg);
  let outsidePower = 0;
  for (const level of outside) outsidePower += ratioFromDb(peakDbi + level);
  return {
    halfPowerDeg: crossing(offDeg, levelDb, HALF_POWER_DB),
    lobes: sideLobes(offDeg, levelDb, minimumDeg).map((lobe) => ({ ...lobe, offDeg: sign * lobe.offDeg })),
    outsideSteps: outside.length,
    outsidePower,
  };
}

/** Where the level first falls to `wantedDb`, linear between steps; 180 where it never does. */
function crossing(offDeg: Float64Array, levelDb: Float64Array, wantedDb: number): number {
  const at = levelDb.findIndex((level) => level <= wantedDb);
  if (at < 0) return 180;
  const [beforeDeg, beforeDb] = at === 0 ? [0, 0] : [offDeg[at - 1], levelDb[at - 1]];
  return beforeDeg + ((beforeDb - wantedDb) / (beforeDb - levelDb[at])) * (offDeg[at] - beforeDeg);
}

/** The maxima beyond the main lobe, in order; a minimum parts two of them where the level rises again by the grain. */
function sideLobes(offDeg: Float64Array, levelDb: Float64Array, fromDeg: number): SideLobe[] {
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
