export { type FitOptions, fitCalibration } from "./fit-calibration.ts";
export { type CorrectedClass, type MeasuredLink, PATH_CLASSES, type RejectedLink } from "./measured-link.ts";
export {
  type CalibrationTerms,
  type ClassCalibration,
  calibrationDb,
  type HeldOut,
  type OwnDataCalibration,
  type Validation,
} from "./own-data-calibration.ts";
