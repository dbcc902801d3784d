import type { JobKind } from "@fellmark/ledger";
import { compressReply, type Operation, type RouteTable } from "../http/route-table.ts";
import { deleteJob } from "./delete-job.ts";
import { getEvents } from "./get-events.ts";
import { getJob } from "./get-job.ts";
import { getResult, type ResultFiles } from "./get-result.ts";
import { JOBS_PATH } from "./job-state.ts";
import { pinJob } from "./pin-job.ts";
import { retryJob } from "./retry-job.ts";

/** The routes below the id of a job: state, cancellation, retry, events, and the files of its result. */
export function createJobRoutes(kind: JobKind, files: ResultFiles): RouteTable {
  const job = `${JOBS_PATH[kind]}/:id`;
  return {
    [job]: { get: (context) => getJob(context, kind), delete: (context) => deleteJob(context, kind) },
    [`${job}/pin`]: { put: pinJob(kind, true), delete: pinJob(kind, false) },
    [`${job}/retry`]: { post: (context) => retryJob(context, kind) },
    [`${job}/events`]: { get: (context) => getEvents(context, kind), head: false },
    ...Object.fromEntries(
      Object.entries(files).map(([below, file]) => [job + below, { get: createFileOperation(kind, file) }]),
    ),
  };
}

function createFileOperation(kind: JobKind, file: ResultFiles[string]): Operation {
  const operation: Operation = (context) => getResult(context, kind, file);
  return file.mediaType.endsWith("json") ? compressReply(operation) : operation;
}
