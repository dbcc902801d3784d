export * from "./config.ts";
export * from "./service.ts";
