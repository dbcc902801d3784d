/** A modulation and coding scheme of 3GPP. */
export interface CellularStep {
  /** Bits of a symbol. */
  bits: number;
  /** Code rate times 1024. */
  codeRate1024: number;
}

/** Names of the tables: the system, and its highest modulation. */
export type CellularTable = "lte-64qam" | "lte-256qam" | "nr-64qam" | "nr-256qam";

/**
 * Steps of each table, slowest first. Efficiency is bits x code rate / 1024, bit/s/Hz.
 * Source: 3GPP TS 36.213, tables 7.2.3-1 and 7.2.3-2 (CQI); TS 38.214, tables 5.1.3.1-1 and 5.1.3.1-2 (MCS of PDSCH).
 * The texts were not read; the printed efficiencies of both documents follow from these numbers to their four decimals.
 */
export const CELLULAR_TABLES: Readonly<Record<CellularTable, readonly CellularStep[]>> = {
  "lte-64qam": parseSteps("2:78,120,193,308,449,602 4:378,490,616 6:466,567,666,772,873,948"),
  "lte-256qam": parseSteps("2:78,193,449 4:378,490,616 6:466,567,666,772,873 8:711,797,885,948"),
  "nr-64qam": parseSteps(
    "2:120,157,193,251,308,379,449,526,602,679 4:340,378,434,490,553,616,658 6:438,466,517,567,616,666,719,772,822,873,910,948",
  ),
  "nr-256qam": parseSteps(
    "2:120,193,308,449,602 4:378,434,490,553,616,658 6:466,517,567,616,666,719,772,822,873 8:682.5,711,754,797,841,885,916.5,948",
  ),
};

/** Parses "bits:rate,rate ..." with the code rates times 1024. */
function parseSteps(text: string): CellularStep[] {
  return text.split(" ").flatMap((group) => {
    const [bits, rates] = group.split(":");
    return rates.split(",").map((rate) => ({ bits: Number(bits), codeRate1024: Number(rate) }));
  });
}

/** Returns the spectral efficiency of a step, bit/s/Hz and layer. Example: 64-QAM 948/1024: 5.5547. */
export function computeEfficiency({ bits, codeRate1024 }: CellularStep): number {
  return (bits * codeRate1024) / 1024;
}
