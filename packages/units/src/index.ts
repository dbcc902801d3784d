export * from "./angle.ts";
export * from "./constants.ts";
export * from "./decibel.ts";
export * from "./errors.ts";
export { seededNormal, seededRandom } from "./seeded-random.ts";
