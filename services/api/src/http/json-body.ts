import { FellmarkError } from "@fellmark/units";
import { type RequestHandler, raw } from "express";
import { nameCaller } from "./caller.ts";
import type { Slots } from "./slots.ts";

export const MAX_BODY_BYTES = 1_000_000;

/** Of bodies that hold a network or a list of premises: 20,000 subscribers fit. */
export const MAX_NETWORK_BYTES = 20_000_000;

/** Bodies over 1 MB that are held at a time: 120 MB at most, of one caller half of that. */
export const LARGE_BODIES = { total: 6, perCaller: 3 };

/**
 * Reads the bytes of a JSON body into `req.body`, unparsed; over the limit, also once inflated, is refused with 413.
 * One that may be over 1 MB takes a place, and is refused with 429 where none is left.
 */
export function readJsonBody(largeBodies: Slots, maxBytes = MAX_BODY_BYTES): RequestHandler[] {
  const takePlace = maxBytes > MAX_BODY_BYTES ? [holdPlace(largeBodies)] : [];
  return [refuseOtherTypes, ...takePlace, raw({ type: () => true, limit: maxBytes })];
}

function holdPlace(places: Slots): RequestHandler {
  return (req, res, next) => {
    const statedBytes = Number(req.get("Content-Length") ?? Number.POSITIVE_INFINITY);
    if (statedBytes <= MAX_BODY_BYTES && req.get("Content-Encoding") === undefined) return next();
    const giveBack = places.take(nameCaller(req));
    if (!giveBack) throw new FellmarkError("too_many_bodies", "too many bodies over 1 MB are read at this time");
    res.once("close", giveBack);
    next();
  };
}

const refuseOtherTypes: RequestHandler = (req, _res, next) => {
  if (!req.is(["application/json", "application/*+json"])) {
    throw new FellmarkError("unsupported_media_type", "the body must be application/json");
  }
  const charset = /charset\s*=\s*"?([^\s";]+)/i.exec(req.get("Content-Type") ?? "")?.[1] ?? "utf-8";
  if (!/^utf-?8$/i.test(charset)) throw new FellmarkError("unsupported_media_type", "the body must be UTF-8");
  next();
};
