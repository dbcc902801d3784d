import { FellmarkError } from "@fellmark/units";
import { type ExpressionBuilder, type RawBuilder, sql } from "kysely";
import type { JobRecord, JobState, NewJob, SubmitLimit } from "./job-record.ts";
import type { JobRow, Schema } from "./schema.ts";

export const UNFINISHED: JobState[] = ["queued", "running"];
export const RETRYABLE: JobState[] = ["failed", "cancelled", "expired"];
export const ENDED: JobState[] = ["done", "failed", "cancelled", "expired"];

/** Returns the row of a job that has just been submitted. */
export function toNewRow({ request: _apart, name = "", costS = 0, ...job }: NewJob, nowMs: number): JobRow {
  const counters = { progress: 0, attempt: 0, token: null, tries: 0, cancelRequested: 0, pinned: 0 };
  const times = { createdAtMs: nowMs, updatedAtMs: nowMs };
  return { ...counters, ...times, state: "queued", error: null, files: null, name, costS, ...job };
}

export function toJobRecord({ tries: _tries, ...row }: JobRow): JobRecord {
  return {
    ...row,
    cancelRequested: row.cancelRequested === 1,
    pinned: row.pinned === 1,
    error: row.error === null ? null : JSON.parse(row.error),
    files: row.files === null ? null : JSON.parse(row.files),
  };
}

/**
 * Returns the condition that the tenant has room for another job, to stand in the statement that takes the room.
 * @param costS of that job, or the column that has it.
 */
export function hasRoom(
  tenant: string,
  limit: SubmitLimit | undefined,
  costS: number | RawBuilder<number>,
): RawBuilder<boolean> {
  if (!limit) return sql<boolean>`1`;
  const { maxUnfinished, maxUnfinishedS = Number.MAX_VALUE } = limit;
  return sql<boolean>`(SELECT count(*) < ${maxUnfinished} AND (count(*) = 0 OR sum(unfinished.costS) + ${costS} <= ${maxUnfinishedS})
    FROM jobs AS unfinished WHERE unfinished.tenant = ${tenant} AND unfinished.state IN ('queued', 'running'))`;
}

export function createTooManyJobsError({ maxUnfinished, maxUnfinishedS }: SubmitLimit): FellmarkError {
  const work = maxUnfinishedS === undefined ? "" : `, or work of ${maxUnfinishedS} s of one core`;
  return new FellmarkError("too_many_jobs", `${maxUnfinished} jobs${work} are queued or running; wait until one ends`);
}

/** Condition of an update of jobs. */
export type JobCondition = (jobs: ExpressionBuilder<Schema, "jobs">) => ReturnType<ExpressionBuilder<Schema, "jobs">>;
