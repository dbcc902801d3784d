import { toDb } from "@fellmark/units";
import { CELLULAR_TABLES, type CellularTable, computeEfficiency } from "./cellular-tables.ts";
import type { RateRow } from "./rate-row.ts";

interface Numerology {
  /** Resource blocks of 12 carriers by channel width in MHz. */
  blocks: Readonly<Record<number, number>>;
  /** Symbols in a second, with the normal cyclic prefix. */
  symbolsPerS: number;
}

const LTE: Numerology = { blocks: { 5: 25, 10: 50, 20: 100 }, symbolsPerS: 14_000 };
const NR: Numerology = {
  blocks: { 5: 11, 10: 24, 20: 51, 30: 78, 40: 106, 60: 162, 80: 217 },
  symbolsPerS: 28_000,
};

/**
 * Carriers of each table.
 * Source: 3GPP TS 36.101, table 5.6-1 (15 kHz); TS 38.101-1, table 5.3.2-1 (30 kHz); from memory, unverified.
 */
const NUMEROLOGIES: Readonly<Record<CellularTable, Numerology>> = {
  "lte-64qam": LTE,
  "lte-256qam": LTE,
  "nr-64qam": NR,
  "nr-256qam": NR,
};

/** Attenuation factor of the law below for the downlink. Source: 3GPP TR 36.942, annex A.2, table A.2. */
const ATTENUATION = 0.6;

/**
 * Returns the ratio of signal to noise + interference that an efficiency needs, dB, by the attenuated Shannon law:
 * efficiency = 0.6 log2(1 + ratio). Its factor contains the losses of a real receiver.
 * Source: 3GPP TR 36.942, annex A.2; used above its greatest 4.4 bit/s/Hz too. Example: 5.5547 bit/s/Hz: 27.86 dB.
 */
export function computeCellularSnrDb(efficiency: number): number {
  return toDb(2 ** (efficiency / ATTENUATION) - 1);
}

/** Returns the channel widths of a table, MHz. */
export function listCellularWidths(table: CellularTable): number[] {
  return Object.keys(NUMEROLOGIES[table].blocks).map(Number);
}

/**
 * Returns the rates of a channel, slowest first: carriers x symbols x efficiency x streams, without any overhead, which
 * belongs to the efficiency of the upper layers. A step that needs more for no more is omitted.
 * Source: 3GPP TS 38.306, section 4.1.2, with f = 1 and OH = 0.
 * Example: nr-64qam on 20 MHz, 2 streams: fastest 190.4 Mbit/s at 27.86 dB.
 * Throws RangeError for a width that the table does not have.
 */
export function buildCellularRates(table: CellularTable, widthMhz: number, streams: number): RateRow[] {
  const { blocks, symbolsPerS } = NUMEROLOGIES[table];
  if (!(widthMhz in blocks)) throw new RangeError(`${table} has no channel of ${widthMhz} MHz`);
  const symbolsPerUs = (12 * blocks[widthMhz] * symbolsPerS) / 1e6;
  return CELLULAR_TABLES[table].map((step, index) => {
    const efficiency = computeEfficiency(step);
    const name = `${2 ** step.bits === 4 ? "QPSK" : `${2 ** step.bits}-QAM`} ${step.codeRate1024}/1024`;
    return { index, name, snrDb: computeCellularSnrDb(efficiency), phyMbps: symbolsPerUs * efficiency * streams };
  });
}
