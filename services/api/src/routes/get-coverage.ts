import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { replyState } from "../coverage-state.ts";
import { findCoverage } from "./find-coverage.ts";

export function getCoverage({ ledger }: ApiContext): RequestHandler {
  return async (req, res) => replyState(res, 200, await findCoverage(ledger, req));
}
