export * from "./canonical.ts";
export * from "./cost.ts";
export * from "./coverage-request.ts";
export * from "./parse-request.ts";
