export { createSeededNormal, createSeededRandom } from "@fellmark/units";
export * from "./free-port.ts";
export * from "./inline-pool.ts";
export * from "./line-watch.ts";
export * from "./needs.ts";
export * from "./osgeo.ts";
export * from "./redis.ts";
export * from "./temp-dir.ts";
export * from "./wait-for-event.ts";
