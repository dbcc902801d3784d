import { modulationTable, type RateTable } from "./phy-rate.ts";

/** What of the PHY rate reaches a user in one direction. */
export interface AirtimeShare {
  /** Share of the frame that the direction has, 0 to 1. */
  share: number;
  /** Share of that time that carries user data, 0 to 1. Common practice, no source: 0.75 for a scheduled radio. */
  macEfficiency: number;
}

/** Net rate of one direction, Mbit/s: what is sold, never the PHY rate. */
export function netRateMbps(phyMbps: number, { share, macEfficiency }: AirtimeShare): number {
  return phyMbps * share * macEfficiency;
}

export interface RateThresholdsInput extends AirtimeShare {
  table: RateTable;
  widthMhz: number;
  streams: number;
  /** Loss of a real receiver against the table, dB. Common practice, no source: 2. */
  implementationDb: number;
  /** Power that the levels stand for, dBm, and the greatest power at single rates, where the radio has less there. */
  power?: { powerDbm: number; byRate: readonly RatePower[] };
}

/** Greatest power of a radio at one rate: fast modulations bear less. */
export interface RatePower {
  /** Index of the modulation. */
  index: number;
  powerDbm: number;
}

export interface RateThresholds {
  /** Ratio of signal to noise and interference from which a rate holds, dB, rising. */
  sinrDb: Float64Array;
  /** Net rate at that threshold, Mbit/s, rising. */
  netMbps: Float64Array;
}

/**
 * Thresholds of a channel, folded so that a cell costs one search: a rate at which the radio sends with less power needs
 * so much more, and a rate that needs no less than a faster one is left out. Below the first nothing gets through.
 * Example: ax, 20 MHz, 2 streams, 2 dB, share 0.75, efficiency 0.75: from 9.68 Mbit/s at 6 dB to 161.3 at 36 dB.
 */
export function rateThresholds(input: RateThresholdsInput): RateThresholds {
  const rows = modulationTable(input.table, input.widthMhz, input.streams).map(({ index, snrDb, phyMbps }) => ({
    sinrDb: snrDb + input.implementationDb + reductionDb(input, index),
    netMbps: netRateMbps(phyMbps, input),
  }));
  const useful = rows.filter(({ sinrDb }, at) => rows.slice(at + 1).every((faster) => faster.sinrDb > sinrDb));
  return {
    sinrDb: Float64Array.from(useful, ({ sinrDb }) => sinrDb),
    netMbps: Float64Array.from(useful, ({ netMbps }) => netMbps),
  };
}

/** By how much less than its power a radio sends at a rate, dB. */
function reductionDb({ power }: RateThresholdsInput, index: number): number {
  const row = power?.byRate.find((candidate) => candidate.index === index);
  return power && row ? Math.max(0, power.powerDbm - row.powerDbm) : 0;
}
