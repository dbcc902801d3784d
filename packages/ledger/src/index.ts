export * from "./job-record.ts";
