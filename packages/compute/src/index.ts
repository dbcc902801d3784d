export * from "./compute.ts";
export * from "./create-compute.ts";
