import { findModulationSnrDb, MODULATIONS } from "./modulation.ts";
import type { RateRow } from "./rate-row.ts";

export type RateStandard = "802.11n" | "802.11ac" | "802.11ax";
export type RateTable = Exclude<RateStandard, "802.11n">;

interface StandardRow {
  /** Data carriers by channel width in MHz (Nsd). */
  carriers: Readonly<Record<number, number>>;
  /** Length of a symbol without its guard interval, us (Tdft). */
  symbolUs: number;
  /** Highest modulation index. */
  lastIndex: number;
}

/** Source: IEEE Std 802.11-2020, tables 19-6 and 21-5; IEEE Std 802.11ax-2021, tables 27-13 and 27-15. */
const STANDARDS: Readonly<Record<RateStandard, StandardRow>> = {
  "802.11n": { carriers: { 20: 52, 40: 108 }, symbolUs: 3.2, lastIndex: 7 },
  "802.11ac": { carriers: { 20: 52, 40: 108, 80: 234, 160: 468 }, symbolUs: 3.2, lastIndex: 9 },
  "802.11ax": { carriers: { 20: 234, 40: 468, 80: 980, 160: 1960 }, symbolUs: 12.8, lastIndex: 11 },
};

/** Combinations that 802.11ac excludes. Source: IEEE Std 802.11-2020, section 21.5. */
const EXCLUDED_11AC = [
  { widthMhz: 20, index: 9, streams: [1, 2, 4, 5, 7, 8] },
  { widthMhz: 80, index: 6, streams: [3, 7] },
  { widthMhz: 80, index: 9, streams: [6] },
  { widthMhz: 160, index: 9, streams: [3] },
];

export interface PhyRateInput {
  standard: RateStandard;
  widthMhz: number;
  /** Modulation index, 0 to 11. */
  index: number;
  streams: number;
  /** Guard interval, us: 0.4 or 0.8 (n, ac); 0.8, 1.6 or 3.2 (ax). */
  guardUs: number;
}

/**
 * Returns the PHY rate, Mbit/s: data bits of a symbol, rounded down, over its length with the guard interval.
 * NaN where the standard excludes the combination or has no such width.
 * Source: IEEE Std 802.11-2020, sections 19.5 and 21.5; IEEE Std 802.11ax-2021, section 27.5.
 * Example: ax, 20 MHz, index 11, 1 stream, 0.8 us gives 143.38 Mbit/s.
 */
export function computePhyRateMbps({ standard, widthMhz, index, streams, guardUs }: PhyRateInput): number {
  const { carriers, symbolUs, lastIndex } = STANDARDS[standard];
  if (!(widthMhz in carriers) || index > lastIndex) return Number.NaN;
  if (standard === "802.11ac" && isExcluded(widthMhz, index, streams)) return Number.NaN;
  const { bits, code } = MODULATIONS[index];
  const bitsPerSymbol = Math.floor((carriers[widthMhz] * bits * streams * code[0]) / code[1]);
  return bitsPerSymbol / (symbolUs + guardUs);
}

function isExcluded(widthMhz: number, index: number, streams: number): boolean {
  return EXCLUDED_11AC.some((row) => row.widthMhz === widthMhz && row.index === index && row.streams.includes(streams));
}

/** Standards whose tables a radio may name. */
export const WIFI_TABLES: readonly RateTable[] = ["802.11ac", "802.11ax"];

/** Guard intervals of each standard, us. Source: IEEE Std 802.11-2020, table 21-5; 802.11ax-2021, table 27-13. */
export const GUARD_INTERVALS_US: Readonly<Record<RateTable, readonly number[]>> = {
  "802.11ac": [0.4, 0.8],
  "802.11ax": [0.8, 1.6, 3.2],
};

/**
 * Widths made by running the clock of a wider channel slower: all times grow and all rates fall by one factor.
 * Source: IEEE Std 802.11-2020, table 17-5, for 5 and 10 MHz of its first modulations; applied to 802.11ac and ax, and
 * to 30 and 60 MHz: common practice, no source.
 */
const SLOWED: Readonly<Record<number, { widthMhz: number; clock: number }>> = {
  5: { widthMhz: 20, clock: 1 / 4 },
  10: { widthMhz: 20, clock: 1 / 2 },
  30: { widthMhz: 40, clock: 3 / 4 },
  60: { widthMhz: 80, clock: 3 / 4 },
};

/** Returns the channel widths of a standard, MHz, slowed ones included. */
export function listWifiWidths(table: RateTable): number[] {
  const own = Object.keys(STANDARDS[table].carriers).map(Number);
  return [...own, ...Object.keys(SLOWED).map(Number)].sort((a, b) => a - b);
}

/**
 * Returns the rates of a channel, slowest first, without the combinations that the standard excludes.
 * Throws RangeError for a width that the standard does not have.
 * Examples: 802.11ax, 20 MHz, 2 streams, 0.8 us: 12 rates from 17.2 Mbit/s at 4 dB to 286.8 at 34 dB; 3.2 us: 243.8.
 */
export function buildWifiRates(
  table: RateTable,
  { widthMhz, streams, guardIntervalUs }: { widthMhz: number; streams: number; guardIntervalUs: number },
): RateRow[] {
  const { carriers, lastIndex } = STANDARDS[table];
  const { widthMhz: clockedMhz, clock } = SLOWED[widthMhz] ?? { widthMhz, clock: 1 };
  if (!(clockedMhz in carriers)) throw new RangeError(`${table} has no channel of ${widthMhz} MHz`);
  return MODULATIONS.slice(0, lastIndex + 1)
    .map(({ name }, index) => {
      const phyMbps =
        clock * computePhyRateMbps({ standard: table, widthMhz: clockedMhz, index, streams, guardUs: guardIntervalUs });
      return { index, name, snrDb: findModulationSnrDb(index), phyMbps };
    })
    .filter((row) => !Number.isNaN(row.phyMbps));
}
