export * from "./compute.ts";
