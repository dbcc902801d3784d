/** One link that the provider measured, beside what the model says of it without any calibration. */
export interface MeasuredLink {
  id: string;
  /** The sector, or any other name of one transmitter at one place. */
  sector: string;
  /** How the path runs over the ground: one of PATH_CLASSES. */
  class: string;
  distanceM: number;
  /** The subscriber's place on any plane grid of the region, m. */
  eastM: number;
  northM: number;
  predictedDbm: number;
  measuredDbm: number;
  /** When it was measured, ms since 1970 UTC. */
  atMs?: number;
}

/** The classes that a calibration tells apart, as propagation's PathClass. */
export const PATH_CLASSES = ["clear", "grazing", "blocked"] as const;

export type CorrectedClass = (typeof PATH_CLASSES)[number];

/** A row that was left out of the fit, and why. */
export interface RejectedLink {
  /** Position in the list as given, from 0. */
  row: number;
  id: string;
  field: keyof MeasuredLink;
  reason: string;
}

/** Levels that a receiver can have read, dBm: below is under any receiver's noise, above would destroy it. */
const LEVEL_LIMITS_DBM = [-150, 30] as const;

/** A prediction behind hills may lie far under any noise. */
const PREDICTION_LIMITS_DBM = [-400, 60] as const;

const GREATEST_DISTANCE_M = 100_000;

/** As long as a sector's name may be in a request. */
const LONGEST_SECTOR = 64;

/**
 * Parts measured links into those that can be and a list of the others; every row is in exactly one of them.
 * Of two rows with one id the first is kept. `nowMs`: rows measured later than that are impossible.
 */
export function checkLinks(
  rows: readonly MeasuredLink[],
  nowMs = Number.POSITIVE_INFINITY,
): { accepted: MeasuredLink[]; rejected: RejectedLink[] } {
  const accepted: MeasuredLink[] = [];
  const rejected: RejectedLink[] = [];
  const seen = new Set<string>();
  rows.forEach((link, row) => {
    const fault = faultOf(link, nowMs) ?? (seen.has(link.id) ? { field: "id" as const, reason: "stands twice" } : null);
    if (fault) rejected.push({ row, id: String(link.id), ...fault });
    else accepted.push(link);
    seen.add(link.id);
  });
  return { accepted, rejected };
}

type Fault = Pick<RejectedLink, "field" | "reason">;

function faultOf(link: MeasuredLink, nowMs: number): Fault | null {
  const { distanceM, atMs } = link;
  if (typeof link.id !== "string" || link.id === "") return { field: "id", reason: "must be a text" };
  if (typeof link.sector !== "string" || link.sector === "" || link.sector.length > LONGEST_SECTOR) {
    return { field: "sector", reason: `must be a text of 1 to ${LONGEST_SECTOR} characters` };
  }
  if (!(PATH_CLASSES as readonly string[]).includes(link.class)) {
    return { field: "class", reason: `must be one of ${PATH_CLASSES.join(", ")}` };
  }
  if (!(distanceM > 0 && distanceM <= GREATEST_DISTANCE_M)) {
    return { field: "distanceM", reason: "must be above 0 and at most 100 km" };
  }
  for (const field of ["eastM", "northM"] as const) {
    if (!Number.isFinite(link[field])) return { field, reason: "must be a number" };
  }
  if (atMs !== undefined && !Number.isFinite(atMs)) return { field: "atMs", reason: "must be a number" };
  if (atMs !== undefined && atMs > nowMs) return { field: "atMs", reason: "lies in the future" };
  return levelFault(link, "measuredDbm", LEVEL_LIMITS_DBM) ?? levelFault(link, "predictedDbm", PREDICTION_LIMITS_DBM);
}

function levelFault(
  link: MeasuredLink,
  field: "measuredDbm" | "predictedDbm",
  [leastDbm, greatestDbm]: readonly [number, number],
): Fault | null {
  const isLevel = typeof link[field] === "number" && link[field] >= leastDbm && link[field] <= greatestDbm;
  return isLevel ? null : { field, reason: `must lie between ${leastDbm} and ${greatestDbm} dBm` };
}
