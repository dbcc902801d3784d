export * from "./bullmq-queue.ts";
export * from "./clock.ts";
export * from "./config.ts";
export * from "./embedded-queue.ts";
export * from "./fault-point.ts";
export type { Logger } from "./logger.ts";
export * from "./queue.ts";
export * from "./storage.ts";
export * from "./worker.ts";
