import { computeCalibrationDb } from "@fellmark/calibration";
import type { ModelSpec } from "@fellmark/network";
import type { PathClass } from "@fellmark/propagation";

/** No sector's id: ids have a character at the least. */
const NO_SECTOR = "";

/** Returns the calibration of all paths of a class at a distance, dB to be added to the loss; 0 without one. */
export function computePathCalibrationDb({ calibration }: ModelSpec, sight: PathClass, distanceM: number): number {
  return computeCalibrationDb(calibration, NO_SECTOR, sight, distanceM);
}

/** Returns the calibration of one sector beyond that, dB to be added to the loss; 0 of an emitter. */
export function findSectorBiasDb({ calibration }: ModelSpec, sector: string | undefined): number {
  return computeCalibrationDb(calibration, sector ?? NO_SECTOR, "any class", 1000);
}
