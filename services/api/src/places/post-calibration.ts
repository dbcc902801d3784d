import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { toAsker } from "../http/asker.ts";
import { findTenant } from "../http/tenant.ts";
import { findAnsweringSource } from "../network/answering-source.ts";
import { buildQuestion } from "../network/place-question.ts";
import type { CalibrationReply } from "./place-replies.ts";

/** Thousands of links are predicted one by one. */
const PATIENCE_MS = 60_000;

/** Fits a calibration to measured links. Keeps nothing: put the calibration into the network's model to use it. */
export function postCalibration(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const bytes = req.body instanceof Uint8Array ? req.body : new Uint8Array();
    const body = await context.bodies.run(toAsker({ req, res }), "readCalibration", bytes);
    const source = await findAnsweringSource(context.ledger, findTenant(req), body);
    const links = body.links === undefined ? {} : { rows: body.links };
    const task = { source, terrainDir: context.config.terrainDir, nowMs: context.now(), ...links };
    const reply: CalibrationReply = await context.places.ask(
      buildQuestion(req, res, source),
      (answers, limits) => answers.calibration(task, limits),
      PATIENCE_MS,
    );
    res.set("Cache-Control", "no-store").json(reply);
  };
}
