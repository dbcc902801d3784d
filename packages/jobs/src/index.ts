export * from "./queue.ts";
