export type { BatchTask } from "./batch/batch-task.ts";
export * from "./compute.ts";
export * from "./create-compute.ts";
export type { AdviseTask, CompareTask, CoverTask } from "./job-tasks.ts";
export * from "./place-tasks.ts";
export type { ImportPremisesTask } from "./premises-task.ts";
export { type AntennaReply, type AntennaTask, reportAntennas } from "./report-antennas.ts";
export type { TerrainQuestion } from "./terrain-facts.ts";
