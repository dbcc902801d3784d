/** One link that the provider measured, with the model's prediction without any calibration. */
export interface MeasuredLink {
  id: string;
  /** The sector, or any other name of one transmitter at one place. */
  sector: string;
  /** Class of the path over the ground: one of PATH_CLASSES. */
  class: string;
  distanceM: number;
  /** The subscriber's place on any plane grid of the region, m. */
  eastM: number;
  northM: number;
  predictedDbm: number;
  measuredDbm: number;
  /** Time of the measurement, ms since 1970 UTC. */
  atMs?: number;
}

/** Path classes of a calibration, as propagation's PathClass. */
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

/** Plausible received levels, dBm: from below the noise of any receiver to the level that destroys one. */
const LEVEL_LIMITS_DBM = [-150, 30] as const;

/** Plausible predicted levels, dBm: behind hills they lie far below any noise. */
const PREDICTION_LIMITS_DBM = [-400, 60] as const;

const GREATEST_DISTANCE_M = 100_000;

/** Longest name of a sector, as in a request. */
const LONGEST_SECTOR = 64;

/**
 * Splits measured links into plausible ones and a list of the others; every row is in exactly one of them.
 * Of two rows with one id the first is kept. `nowMs`: rows measured later are rejected.
 */
export function checkLinks(
  rows: readonly MeasuredLink[],
  nowMs = Number.POSITIVE_INFINITY,
): { accepted: MeasuredLink[]; rejected: RejectedLink[] } {
  const accepted: MeasuredLink[] = [];
  const rejected: RejectedLink[] = [];
  const seen = new Set<string>();
  rows.forEach((link, row) => {
    const fault =
      findFault(link, nowMs) ?? (seen.has(link.id) ? { field: "id" as const, reason: "stands twice" } : null);
    if (fault) rejected.push({ row, id: String(link.id), ...fault });
    else accepted.push(link);
    seen.add(link.id);
  });
  return { accepted, rejected };
}

type Fault = Pick<RejectedLink, "field" | "reason">;

function findFault(link: MeasuredLink, nowMs: number): Fault | null {
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
  return (
    findLevelFault(link, "measuredDbm", LEVEL_LIMITS_DBM) ?? findLevelFault(link, "predictedDbm", PREDICTION_LIMITS_DBM)
  );
}

function findLevelFault(
  link: MeasuredLink,
  field: "measuredDbm" | "predictedDbm",
  [leastDbm, greatestDbm]: readonly [number, number],
): Fault | null {
  const isLevel = typeof link[field] === "number" && link[field] >= leastDbm && link[field] <= greatestDbm;
  return isLevel ? null : { field, reason: `must lie between ${leastDbm} and ${greatestDbm} dBm` };
}
