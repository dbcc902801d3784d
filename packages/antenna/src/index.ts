export * from "./antenna-pattern.ts";
export * from "./cuts-pattern.ts";
export * from "./description.ts";
export type { CutPoint } from "./level-cut.ts";
export * from "./pattern.ts";
export * from "./pointing.ts";
export * from "./sphere-mean.ts";
export * from "./tr38901.ts";
