import type { CorrectedClass } from "./measured-link.ts";

/**
 * What a provider's own measured links say that the model's loss lacks:
 *
 *     correction = offset(class) + slope(class) x log10(distance / reference) + bias(sector)     dB, added to the loss
 *
 * Three offsets, three slopes, one bias a sector, each printed here: nothing else is learnt. How: `fitCorrection`.
 */
export interface OwnDataCorrection {
  /** 'c' and 16 hex digits of the SHA-256 of everything that went into the fit. */
  version: string;
  /** Where the slopes have no effect: the geometric mean of the distances, km. */
  referenceKm: number;
  /** The classes that were measured. */
  classes: Partial<Record<CorrectedClass, ClassCorrection>>;
  /** The sectors that were measured. */
  sectors: Record<string, { biasDb: number; links: number }>;
  /** The most by which the correction of any place changes if the level of any one link is another, however far, dB. */
  influenceDb: number;
  validation: Validation;
}

export interface ClassCorrection {
  offsetDb: number;
  slopeDbPerDecade: number;
  /** Standard deviation of the error of places that were not measured, dB; null where too few links tell. */
  sigmaDb: number | null;
  links: number;
}

/** How the correction fared on links that it had not seen. */
export interface Validation {
  /** Whether the correction counts: it helps on left-out links and does not hurt in left-out blocks. */
  applied: boolean;
  /** Why, in words for the planner. */
  reason: string;
  leaveOneOut: HeldOut | null;
  /** Left out by squares of the ground; null where fewer than four squares hold links. */
  blocks: (HeldOut & { blockM: number; blocks: number }) | null;
}

export interface HeldOut {
  /** Error of the model alone, and with a correction fitted to the other links, dB. */
  beforeRmseDb: number;
  afterRmseDb: number;
  /** Mean gain a link in Huber's loss, which no outlier dominates, and its standard error: what `applied` goes by. */
  gain: number;
  gainError: number;
}

/** Slopes go no further than this from the reference distance, decades: no law of distance is known to reach further. */
const SLOPE_REACH_DECADES = 1;

/** Log of distance over the reference, held within what a slope may reach. */
export function decadesFrom(referenceKm: number, distanceM: number): number {
  const decades = Math.log10(distanceM / 1000 / referenceKm);
  return Math.min(Math.max(decades, -SLOPE_REACH_DECADES), SLOPE_REACH_DECADES);
}

/** What `correctionDb` reads of a correction. */
export interface CorrectionTerms {
  referenceKm: number;
  classes: { [name in CorrectedClass]?: Pick<ClassCorrection, "offsetDb" | "slopeDbPerDecade"> | undefined };
  sectors: Record<string, { biasDb: number }>;
  validation: { applied: boolean };
}

/**
 * What a correction adds to the loss of a path, dB, may be below 0. A class or sector without measured links adds
 * nothing; no correction, or one that was not shown to help, is 0.
 */
export function correctionDb(
  correction: CorrectionTerms | null,
  sector: string,
  pathClass: string,
  distanceM: number,
): number {
  if (!correction?.validation.applied) return 0;
  const { classes, sectors, referenceKm } = correction;
  const ofClass = Object.hasOwn(classes, pathClass) ? classes[pathClass as CorrectedClass] : undefined;
  const biasDb = Object.hasOwn(sectors, sector) ? sectors[sector].biasDb : 0;
  if (!ofClass) return biasDb;
  return ofClass.offsetDb + ofClass.slopeDbPerDecade * decadesFrom(referenceKm, distanceM) + biasDb;
}
