import type { JobKind } from "@fellmark/ledger";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { findJob } from "./find-job.ts";
import { replyState } from "./job-state.ts";

export function getJob({ ledger }: ApiContext, kind: JobKind): RequestHandler {
  return async (req, res) => replyState(res, 200, await findJob(ledger, req, kind));
}
