export * from "./tier-areas.ts";
export * from "./tier-class.ts";
export * from "./trace-tiers.ts";
