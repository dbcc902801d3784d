import type { JobKind } from "@fellmark/ledger";
import compression from "compression";
import type { Express } from "express";
import type { ApiContext } from "../context.ts";
import { allowOnly } from "../http/problem.ts";
import { deleteJob } from "./delete-job.ts";
import { getEvents } from "./get-events.ts";
import { getJob } from "./get-job.ts";
import { getResult, type ResultRoute } from "./get-result.ts";
import { JOBS_PATH } from "./job-state.ts";
import { retryJob } from "./retry-job.ts";

/** Adds what every job has below its id: state, cancellation, retry, events, and the files of its result by address. */
export function addJobRoutes(
  app: Express,
  context: ApiContext,
  kind: JobKind,
  results: Readonly<Record<string, ResultRoute>>,
): void {
  const job = `${JOBS_PATH[kind]}/:id`;
  app.route(job).get(getJob(context, kind)).delete(deleteJob(context, kind)).all(allowOnly("GET, HEAD, DELETE"));
  app.route(`${job}/retry`).post(retryJob(context, kind)).all(allowOnly("POST"));
  app.route(`${job}/events`).head(allowOnly("GET")).get(getEvents(context, kind)).all(allowOnly("GET"));
  for (const [below, file] of Object.entries(results)) {
    const handlers = file.mediaType.endsWith("json") ? [compression()] : [];
    app
      .route(job + below)
      .get(...handlers, getResult(context, kind, file))
      .all(allowOnly("GET, HEAD"));
  }
}
