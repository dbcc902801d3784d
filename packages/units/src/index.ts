export * from "./angle.ts";
export * from "./constants.ts";
export * from "./decibel.ts";
export * from "./errors.ts";
export { createSeededNormal, createSeededRandom } from "./seeded-random.ts";
