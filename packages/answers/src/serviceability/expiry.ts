import { computeEndClutterLossDb, computeInverseComplementaryNormal } from "@fellmark/propagation";

/** Until when an answer may be relied on. */
export interface Expiry {
  /** The last day, YYYY-MM-DD. */
  on: string;
  /** Cause of the end: trees that grow, or the answer's own age. */
  because: "trees" | "age";
}

/** The trees at an antenna, and how safely the plan holds beside them. */
export interface TreesAtEnd {
  treeHeightM: number;
  antennaHeightAglM: number;
  frequencyGhz: number;
  foliage: "leaf-on" | "leaf-off";
  /** That the plan holds, today and at least. */
  probability: number;
  leastProbability: number;
  sigmaDb: number;
}

/** A survey of what is served is to be renewed in three years. Source: Directive (EU) 2018/1972, article 22 (1). */
const VALID_MONTHS = 36;

/** The upper end of 0.3 to 1 m a year. Common practice, no source. */
const GROWTH_M_PER_YEAR = 1;

/**
 * The day until which an answer of `asOf` holds: three years, or as long as the trees at the ends, growing a metre a
 * year, do not bring the probability under its least. Trees along the way are not followed.
 */
export function findExpiry(asOf: string, ends: readonly TreesAtEnd[]): Expiry {
  const months = Math.min(VALID_MONTHS, ...ends.map(countMonthsBesideTrees));
  return { on: addMonths(asOf, months), because: months < VALID_MONTHS ? "trees" : "age" };
}

/** Whole months that the plan holds. */
function countMonthsBesideTrees({
  treeHeightM,
  probability,
  leastProbability,
  sigmaDb,
  ...antenna
}: TreesAtEnd): number {
  const lossDb = (clutterHeightM: number) => computeEndClutterLossDb({ class: "trees", clutterHeightM, ...antenna });
  const spareDb = sigmaDb * (findDeviate(probability) - findDeviate(leastProbability));
  for (let month = 1; month <= VALID_MONTHS; month++) {
    const grownM = (GROWTH_M_PER_YEAR * month) / 12;
    if (lossDb(treeHeightM + grownM) - lossDb(treeHeightM) > spareDb) return month - 1;
  }
  return VALID_MONTHS;
}

/** Standard deviations by which a plan of this probability holds. */
function findDeviate(probability: number): number {
  return computeInverseComplementaryNormal(1 - Math.min(Math.max(probability, 1e-9), 1 - 1e-9));
}

/** The same day of a later month, or its last day. */
function addMonths(day: string, months: number): string {
  const [year, month, date] = day.split("-").map(Number);
  const lastDate = new Date(Date.UTC(year, month + months, 0)).getUTCDate();
  return new Date(Date.UTC(year, month - 1 + months, Math.min(date, lastDate))).toISOString().slice(0, 10);
}
