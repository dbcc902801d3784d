export { DEG_PER_RAD, normaliseSignedDeg, RAD_PER_DEG } from "./angle.ts";
export {
  BOLTZMANN_J_K,
  computeWavelengthM,
  MEAN_EARTH_RADIUS_KM,
  REFERENCE_TEMPERATURE_K,
  SPEED_OF_LIGHT_M_S,
} from "./constants.ts";
export { NEPERS_PER_DB, sumDbm, toDb, toDbm, toMilliwatts, toRatio } from "./decibel.ts";
export {
  type ErrorRecord,
  FellmarkError,
  type FieldProblem,
  InputError,
  MAX_PROBLEMS,
  NotFoundError,
  TerrainError,
  TransientError,
  toErrorRecord,
  toFellmarkError,
} from "./errors.ts";
export { createSeededNormal, createSeededRandom } from "./seeded-random.ts";
