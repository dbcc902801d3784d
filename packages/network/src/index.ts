export * from "./coverage-request.ts";
