import type { CorrectedClass } from "./measured-link.ts";

/**
 * What a provider's own measured links say that the model's loss lacks:
 *
 *     calibration = offset(class) + slope(class) x log10(distance / reference) + bias(sector)     dB, added to the loss
 *
 * Three offsets, three slopes, one bias a sector, each printed here: nothing else is learnt. How: `fitCalibration`.
 */
export interface OwnDataCalibration {
  /** 'c' and 16 hex digits of the SHA-256 of everything that went into the fit. */
  version: string;
  /** Where the slopes have no effect: the geometric mean of the distances, km. */
  referenceKm: number;
  /** The classes that were measured. */
  classes: Partial<Record<CorrectedClass, ClassCalibration>>;
  /** The sectors that were measured. */
  sectors: Record<string, { biasDb: number; links: number }>;
  /** The most by which the calibration of any place changes if the level of any one link is another, however far, dB. */
  influenceDb: number;
  validation: Validation;
}

export interface ClassCalibration {
  offsetDb: number;
  slopeDbPerDecade: number;
  /** Standard deviation of the error of places that were not measured, dB; null where too few links tell. */
  sigmaDb: number | null;
  links: number;
}

/** How the calibration fared on links that it had not seen. */
export interface Validation {
  /** Whether the calibration counts: it helps on left-out links and does not hurt in left-out blocks. */
  applied: boolean;
  /** Why, in words for the planner. */
  reason: string;
  leaveOneOut: HeldOut | null;
  /** Left out by squares of the ground; null where fewer than four squares hold links. */
  blocks: (HeldOut & { blockM: number; blocks: number }) | null;
}

export interface HeldOut {
  /** Error of the model alone, and with a calibration fitted to the other links, dB. */
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

/** What `calibrationDb` reads of a calibration. */
export interface CalibrationTerms {
  referenceKm: number;
  classes: { [name in CorrectedClass]?: Pick<ClassCalibration, "offsetDb" | "slopeDbPerDecade"> | undefined };
  sectors: Record<string, { biasDb: number }>;
  validation: { applied: boolean };
}

/**
 * What a calibration adds to the loss of a path, dB, may be below 0. A class or sector without measured links adds
 * nothing; no calibration, or one that was not shown to help, is 0.
 */
export function calibrationDb(
  calibration: CalibrationTerms | null,
  sector: string,
  pathClass: string,
  distanceM: number,
): number {
  if (!calibration?.validation.applied) return 0;
  const { classes, sectors, referenceKm } = calibration;
  const ofClass = Object.hasOwn(classes, pathClass) ? classes[pathClass as CorrectedClass] : undefined;
  const biasDb = Object.hasOwn(sectors, sector) ? sectors[sector].biasDb : 0;
  if (!ofClass) return biasDb;
  return ofClass.offsetDb + ofClass.slopeDbPerDecade * decadesFrom(referenceKm, distanceM) + biasDb;
}
