import type { CorrectedClass } from "./measured-link.ts";

/**
 * Correction of the model's loss, fitted to a provider's own measured links:
 *
 *     calibration = offset(class) + slope(class) x log10(distance / reference) + bias(sector)     dB, added to the loss
 *
 * Three offsets, three slopes, one bias per sector, each stated here: nothing else is fitted. See `fitCalibration`.
 */
export interface OwnDataCalibration {
  /** 'c' and 16 hex digits of the SHA-256 of everything that went into the fit. */
  version: string;
  /** Distance at which the slopes have no effect: the geometric mean of the distances, km. */
  referenceKm: number;
  /** The classes that were measured. */
  classes: Partial<Record<CorrectedClass, ClassCalibration>>;
  /** The sectors that were measured. */
  sectors: Record<string, { biasDb: number; links: number }>;
  /** Largest change of the calibration at any place if the level of any one link changes by any amount, dB. */
  influenceDb: number;
  validation: Validation;
}

export interface ClassCalibration {
  offsetDb: number;
  slopeDbPerDecade: number;
  /** Standard deviation of the error of places that were not measured, dB; null: too few links. */
  sigmaDb: number | null;
  links: number;
}

/** Errors of the calibration on links that were left out of its fit. */
export interface Validation {
  /** True: the calibration counts; it helps on left-out links and does not hurt in left-out blocks. */
  applied: boolean;
  /** Reason, in words for the planner. */
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

/** Slopes apply up to this distance from the reference, decades: no known law of distance extends further. */
const SLOPE_REACH_DECADES = 1;

/** Returns the log of distance over the reference, limited to the reach of a slope. */
export function computeDecades(referenceKm: number, distanceM: number): number {
  const decades = Math.log10(distanceM / 1000 / referenceKm);
  return Math.min(Math.max(decades, -SLOPE_REACH_DECADES), SLOPE_REACH_DECADES);
}

/** Part of a calibration that `computeCalibrationDb` reads. */
export interface CalibrationTerms {
  referenceKm: number;
  classes: { [name in CorrectedClass]?: Pick<ClassCalibration, "offsetDb" | "slopeDbPerDecade"> | undefined };
  sectors: Record<string, { biasDb: number }>;
  validation: { applied: boolean };
}

/**
 * Returns the dB that a calibration adds to the loss of a path; it may be negative. A class or sector without measured
 * links adds nothing; without a calibration, or with one that was not shown to help, the result is 0.
 */
export function computeCalibrationDb(
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
  return ofClass.offsetDb + ofClass.slopeDbPerDecade * computeDecades(referenceKm, distanceM) + biasDb;
}
