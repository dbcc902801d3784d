import { buildRates, hasImplementationLoss, type RateTableInput } from "./rate-table.ts";

/** Shares that reduce the PHY rate to the user's rate in one direction. */
export interface AirtimeShare {
  /** Share of the frame for this direction, 0 to 1. */
  share: number;
  /** Share of that time that carries user data, 0 to 1. Common practice, no source: 0.75 for a scheduled radio. */
  macEfficiency: number;
}

/** Returns the net rate of one direction, Mbit/s: the rate that is sold. */
function computeNetRateMbps(phyMbps: number, { share, macEfficiency }: AirtimeShare): number {
  return phyMbps * share * macEfficiency;
}

export interface RateThresholdsInput extends AirtimeShare, RateTableInput {
  /** Loss of a real receiver against a table of 802.11, dB; other tables include it. Common practice, no source: 2. */
  implementationDb: number;
  /** Power on which the levels are based, dBm, and lower maximum powers at single rates. */
  power?: { powerDbm: number; byRate: readonly RatePower[] };
}

/** Maximum power of a radio at one rate: fast modulations allow less. */
export interface RatePower {
  /** Index of the modulation. */
  index: number;
  powerDbm: number;
}

export interface RateThresholds {
  /** Least ratio of signal to noise + interference for each rate, dB, rising. */
  sinrDb: Float64Array;
  /** Net rate at that threshold, Mbit/s, rising. */
  netMbps: Float64Array;
}

/**
 * Returns the thresholds of a channel as one rising list: a rate with reduced power needs a ratio higher by that
 * reduction, and a rate that needs at least as much as a faster one is omitted. Below the first the rate is 0.
 * Example: ax, 20 MHz, 2 streams, 2 dB, share 0.75, efficiency 0.75: from 9.68 Mbit/s at 6 dB to 161.3 at 36 dB.
 */
export function buildRateThresholds(input: RateThresholdsInput): RateThresholds {
  const implementationDb = hasImplementationLoss(input.table) ? input.implementationDb : 0;
  const rows = buildRates(input).map(({ index, snrDb, phyMbps }) => ({
    sinrDb: snrDb + implementationDb + findReductionDb(input, index),
    netMbps: computeNetRateMbps(phyMbps, input),
  }));
  const useful = rows.filter(({ sinrDb }, at) => rows.slice(at + 1).every((faster) => faster.sinrDb > sinrDb));
  return {
    sinrDb: Float64Array.from(useful, ({ sinrDb }) => sinrDb),
    netMbps: Float64Array.from(useful, ({ netMbps }) => netMbps),
  };
}

/** Returns the power reduction of a radio at a rate, dB, 0 or more. */
function findReductionDb({ power }: RateThresholdsInput, index: number): number {
  const row = power?.byRate.find((candidate) => candidate.index === index);
  return power && row ? Math.max(0, power.powerDbm - row.powerDbm) : 0;
}
