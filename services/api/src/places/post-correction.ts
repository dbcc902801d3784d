import { parseCorrectionBody } from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { parseJsonBody } from "../http/json-body.ts";
import { tenantOf } from "../http/tenant.ts";
import { answeringSource } from "../network/answering-source.ts";
import type { CorrectionReply } from "./place-replies.ts";

/** Thousands of links are predicted one by one. */
const PATIENCE_MS = 60_000;

/** What measured links teach. Keeps nothing: put the correction into the network's model to use it. */
export function postCorrection(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const body = parseCorrectionBody(parseJsonBody(req.body));
    const source = await answeringSource(context.ledger, tenantOf(req), body);
    const links = body.links === undefined ? {} : { rows: body.links };
    const task = { source, terrainDir: context.config.terrainDir, nowMs: context.now(), ...links };
    const reply: CorrectionReply = await context.places.ask(
      (answers, limits) => answers.correction(task, limits),
      PATIENCE_MS,
    );
    res.set("Cache-Control", "no-store").json(reply);
  };
}
