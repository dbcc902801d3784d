import { computeRainFadeDb, computeRainFadeInYearDb, toRainYearPercent } from "../atmosphere/rain.ts";
import type { Polarisation } from "../diffraction/spherical-earth.ts";
import { computeMultipathOccurrence, type MultipathInput, type MultipathRule } from "./multipath.ts";

export interface FadeInput extends MultipathInput {
  rule: MultipathRule;
  /** Share of the average worst month in which the link must hold, 0 to 1, exclusive. */
  availability: number;
  /** Rain rate exceeded for 0.01 % of an average year, mm/h; no rain where absent. */
  rainMmPerHour?: number;
  /** Of the wave in rain; "horizontal" where absent, which rain attenuates more. */
  polarisation?: Polarisation;
}

/**
 * Margin against fading, dB, 0 or more: the least that keeps the outage of the average worst month within one less the
 * availability. Multipath occurs on still nights and rain in storms, at different times: their outages add, their depths
 * do not.
 * Source: `computeMultipathOccurrence` for the rule; ITU-R P.530-18, section 2.4.1, and P.841 for rain, whose statistics are
 * of the year. Valid for: line of sight; an availability of 0.92 to 0.99999 where it rains, since P.841 ends there.
 * Throws RangeError outside 0 < availability < 1.
 * Example: vigants-barnett, 5.8 GHz, 0.9999: 15.42 dB at 10 km, dry or with 42 mm/h; at 1 km 0 dB dry and 0.65 dB.
 */
export function computeFadeMarginDb(input: FadeInput): number {
  const { rule, availability, frequencyGhz, distanceM, rainMmPerHour = 0, polarisation = "horizontal" } = input;
  if (!(availability > 0 && availability < 1)) {
    throw new RangeError(`an availability lies between 0 and 1, got ${availability}`);
  }
  const occurrence = computeMultipathOccurrence(rule, input);
  const outage = 1 - availability;
  if (rainMmPerHour === 0 || distanceM === 0) return Math.max(computeMultipathFadeDb(occurrence, outage), 0);
  const at001Db = computeRainFadeDb({ distanceM, frequencyGhz, rainMmPerHour, polarisation });
  const rainDb = (share: number) => computeRainFadeInYearDb(at001Db, frequencyGhz, toRainYearPercent(100 * share));
  return findMarginAgainstBothDb(outage, (share) => computeMultipathFadeDb(occurrence, share), rainDb);
}

/** Fade, dB, that multipath exceeds for a share of the worst month; negative where it does not fade so often. */
function computeMultipathFadeDb(occurrence: number, share: number): number {
  return 10 * Math.log10(occurrence / share);
}

/** Halvings of the outage between rain and multipath: to 1e-9 of it. */
const HALVINGS = 30;

/**
 * Margin at which rain and multipath together use up the outage: the outage is divided so that both need the same
 * margin. Where multipath needs more even with the whole outage, it gets the whole.
 */
function findMarginAgainstBothDb(
  outage: number,
  multipathDb: (share: number) => number,
  rainDb: (share: number) => number,
): number {
  const dryDb = multipathDb(outage);
  if (dryDb >= rainDb(0)) return dryDb;
  let rainShare = 0;
  let step = 0.5;
  for (let i = 0; i < HALVINGS; i++, step /= 2) {
    const tried = rainShare + step;
    if (rainDb(outage * tried) > multipathDb(outage * (1 - tried))) rainShare = tried;
  }
  return rainDb(outage * rainShare);
}
