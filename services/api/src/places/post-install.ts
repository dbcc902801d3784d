import { parseInstallBody, parseJsonBody } from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { tenantOf } from "../http/tenant.ts";
import { answeringSource } from "../network/answering-source.ts";
import { questionOf } from "../network/place-question.ts";
import { findPlace } from "./find-place.ts";
import type { InstallReply } from "./place-replies.ts";
import { unclearReply } from "./unclear-reply.ts";

/** Compares what an installer reads with what is expected, and says what a difference comes from. Keeps nothing. */
export function postInstall(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const body = parseInstallBody(parseJsonBody(req.body));
    const tenant = tenantOf(req);
    const place = await findPlace(context.premises, tenant, body.place);
    res.set("Cache-Control", "no-store");
    if ("matches" in place) {
      const reply: InstallReply = { result: "not-known", ...unclearReply(place) };
      return void res.json(reply);
    }
    const { sector, measured, heightAglM } = body;
    const source = await answeringSource(context.ledger, tenant, body);
    const installation = { at: place.at, sector, measured, ...(heightAglM !== undefined && { heightAglM }) };
    const task = { source, terrainDir: context.config.terrainDir, installation };
    const report = await context.places.ask(questionOf(req, res, source), (answers, limits) =>
      answers.install(task, limits),
    );
    const reply: InstallReply = { place, ...report };
    res.json(reply);
  };
}
