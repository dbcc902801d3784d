export { fitCalibration } from "./fit-calibration.ts";
export { type MeasuredLink, PATH_CLASSES } from "./measured-link.ts";
export { computeCalibrationDb, type OwnDataCalibration } from "./own-data-calibration.ts";
