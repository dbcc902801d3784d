import { parseJsonBody, parseServiceabilityBody, type ServiceabilityBody } from "@fellmark/network";
import { FellmarkError, NotFoundError } from "@fellmark/units";
import type { Request, RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import type { Exchange } from "../http/asker.ts";
import { findTenant } from "../http/tenant.ts";
import { findAnsweringSource } from "../network/answering-source.ts";
import { buildQuestion } from "../network/place-question.ts";
import { type FoundPlace, findPlace } from "./find-place.ts";
import type { ServiceabilityReply } from "./place-replies.ts";
import { buildUnclearReply } from "./unclear-reply.ts";

/** True where a place can be served, with which plan, and what it would take. Keeps nothing. */
export function postServiceability(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const body = parseServiceabilityBody(parseJsonBody(req.body));
    const tenant = findTenant(req);
    const place = await findPlace(context.premises, tenant, body.place);
    res.set("Cache-Control", "no-store");
    const reply: ServiceabilityReply =
      "matches" in place
        ? { verdict: "not-known", ...buildUnclearReply(place) }
        : { place, ...(await answerQuestion(context, { req, res }, body, place)).answer };
    res.json(reply);
  };
}

const MEDIA_TYPES = { svg: "image/svg+xml", png: "image/png" } as const;

/** The profile to the best sector as a picture, in the format that is asked for. */
export function postServiceabilityProfile(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const body = parseServiceabilityBody(parseJsonBody(req.body));
    const format = chooseFormat(req);
    const tenant = findTenant(req);
    const place = await findPlace(context.premises, tenant, body.place);
    if ("matches" in place) throw new NotFoundError(place.reason);
    const { answer, question } = await answerQuestion(context, { req, res }, { ...body, profile: true }, place);
    const { profile, reason } = answer;
    if (!profile) throw new NotFoundError(`there is no path to draw: ${reason}`);
    const picture = await context.places.ask(question, (answers, limits) => answers.draw({ profile, format }, limits));
    res.set("Cache-Control", "no-store").type(MEDIA_TYPES[format]);
    res.send(typeof picture === "string" ? picture : Buffer.from(picture));
  };
}

/** The answer for a place, and the question that it replies to: more can be asked in its name. */
async function answerQuestion(
  context: ApiContext,
  { req, res }: Exchange,
  body: ServiceabilityBody,
  place: FoundPlace,
) {
  const { plan, heightAglM, asOf = toDay(context.now()), profile } = body;
  const source = await findAnsweringSource(context.ledger, findTenant(req), body);
  const asked = {
    ...{ at: place.at, locationAccuracyM: place.locationAccuracyM, asOf, withProfile: profile },
    ...(plan !== undefined && { plan }),
    ...(heightAglM !== undefined && { heightAglM }),
  };
  const question = buildQuestion(req, res, source);
  const answer = await context.places.ask(question, (answers, limits) =>
    answers.serviceability({ source, terrainDir: context.config.terrainDir, question: asked }, limits),
  );
  return { answer, question };
}

function toDay(timeMs: number): string {
  return new Date(timeMs).toISOString().slice(0, 10);
}

/** By ?format=, else by what the caller accepts. */
function chooseFormat(req: Request): keyof typeof MEDIA_TYPES {
  const wanted = req.query.format ?? (req.accepts(Object.values(MEDIA_TYPES)) === MEDIA_TYPES.png ? "png" : "svg");
  if (wanted === "svg" || wanted === "png") return wanted;
  throw new FellmarkError("bad_request", "format is svg or png");
}
