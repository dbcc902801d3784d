import type { JobKind, JobRecord } from "@fellmark/ledger";
import { FellmarkError } from "@fellmark/units";
import type { RequestHandler, Response } from "express";
import type { ApiContext } from "../context.ts";
import { nameCaller } from "../http/caller.ts";
import { findJob } from "./find-job.ts";
import { buildJobState, isTerminal } from "./job-state.ts";
import { STREAMS } from "./streams.ts";

const HEARTBEAT_MS = 15_000;

/** Id of the last event of a stream: a browser that reconnects after it is told to stop. */
const LAST_EVENT_ID = "end";

/**
 * Server-sent events named `state`, each the body of GET of the job: one at once, one after each change.
 * The stream ends after a terminal state, when the job is deleted, or when the service stops.
 */
export function getEvents({ ledger, watch, ticker, streams }: ApiContext, kind: JobKind): RequestHandler {
  return async (req, res) => {
    const job = await findJob(ledger, req, kind);
    if (isTerminal(job.state) && req.get("Last-Event-ID") === LAST_EVENT_ID) return void res.status(204).end();
    const giveBack = streams.take(nameCaller(req));
    if (!giveBack) throw new FellmarkError("too_many_streams", `more than ${STREAMS.perCaller} event streams are open`);
    res.once("close", giveBack);
    const send = openStream(res);
    send(job);
    // A client that left during the look-up has had its "close" already.
    if (isTerminal(job.state) || res.closed) return;
    const stopBeating = ticker.every(HEARTBEAT_MS, () => !res.writableEnded && res.write(": still here\n\n"));
    const stopFollowing = watch.follow(job.tenant, job.id, send);
    res.once("close", () => {
      stopBeating();
      stopFollowing();
    });
  };
}

/** Starts the stream; the returned function writes a row unless it reads as the one before, and ends the stream. */
function openStream(res: Response): (job: JobRecord | undefined) => void {
  res.set({ "Content-Type": "text/event-stream", "Cache-Control": "no-store", "X-Accel-Buffering": "no" });
  res.flushHeaders();
  let before = "";
  return (job) => {
    if (!job) return void res.end();
    const data = JSON.stringify(buildJobState(job));
    if (data === before) return;
    before = data;
    const last = isTerminal(job.state);
    res.write(`${last ? `id: ${LAST_EVENT_ID}\n` : ""}event: state\ndata: ${data}\n\n`);
    if (last) res.end();
  };
}
