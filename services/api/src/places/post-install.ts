import { parseInstallBody, parseJsonBody } from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { findTenant } from "../http/tenant.ts";
import { findAnsweringSource } from "../network/answering-source.ts";
import { buildQuestion } from "../network/place-question.ts";
import { findPlace } from "./find-place.ts";
import type { InstallReply } from "./place-replies.ts";
import { buildUnclearReply } from "./unclear-reply.ts";

/** Compares what an installer reads with what is expected, and says what a difference comes from. Keeps nothing. */
export function postInstall(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const body = parseInstallBody(parseJsonBody(req.body));
    const tenant = findTenant(req);
    const place = await findPlace(context.premises, tenant, body.place);
    res.set("Cache-Control", "no-store");
    if ("matches" in place) {
      const reply: InstallReply = { result: "not-known", ...buildUnclearReply(place) };
      return void res.json(reply);
    }
    const { sector, measured, heightAglM } = body;
    const source = await findAnsweringSource(context.ledger, tenant, body);
    const installation = { at: place.at, sector, measured, ...(heightAglM !== undefined && { heightAglM }) };
    const task = { source, terrainDir: context.config.terrainDir, installation };
    const report = await context.places.ask(buildQuestion(req, res, source), (answers, limits) =>
      answers.install(task, limits),
    );
    const reply: InstallReply = { place, ...report };
    res.json(reply);
  };
}
