import { MODULATIONS, modulationSnrDb } from "./modulation.ts";

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
export function phyRateMbps({ standard, widthMhz, index, streams, guardUs }: PhyRateInput): number {
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

export interface RateRow {
  index: number;
  name: string;
  /** Signal to noise and interference that the rate needs, dB, without implementation loss. */
  snrDb: number;
  phyMbps: number;
}

/**
 * The rates of a channel with the 0.8 us guard interval, slowest first; combinations the standard leaves out are not
 * in it. Throws RangeError on a width the standard does not have.
 * Example: 802.11ax, 20 MHz, 2 streams: 12 rates from 17.2 Mbit/s at 4 dB to 286.8 at 34 dB.
 */
export function buildModulationTable(table: RateTable, widthMhz: number, streams: number): RateRow[] {
  const { carriers, lastIndex } = STANDARDS[table];
  if (!(widthMhz in carriers)) throw new RangeError(`${table} has no channel of ${widthMhz} MHz`);
  return MODULATIONS.slice(0, lastIndex + 1)
    .map(({ name }, index) => {
      const phyMbps = phyRateMbps({ standard: table, widthMhz, index, streams, guardUs: 0.8 });
      return { index, name, snrDb: modulationSnrDb(index), phyMbps };
    })
    .filter((row) => !Number.isNaN(row.phyMbps));
}
