export { type FitOptions, fitCorrection } from "./fit-correction.ts";
export { type CorrectedClass, type MeasuredLink, PATH_CLASSES, type RejectedLink } from "./measured-link.ts";
export {
  type ClassCorrection,
  type CorrectionTerms,
  correctionDb,
  type HeldOut,
  type OwnDataCorrection,
  type Validation,
} from "./own-data-correction.ts";
