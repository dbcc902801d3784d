import { FellmarkError } from "@fellmark/units";
import { type RequestHandler, raw } from "express";

export const MAX_BODY_BYTES = 1_000_000;

/** Of bodies that hold a network or a list of premises: 20,000 subscribers fit. */
export const MAX_NETWORK_BYTES = 20_000_000;

/** Reads the bytes of a JSON body into `req.body`, unparsed; over the limit, also once inflated, is refused with 413. */
export function readJsonBody(maxBytes = MAX_BODY_BYTES): RequestHandler[] {
  return [refuseOtherTypes, raw({ type: () => true, limit: maxBytes })];
}

const refuseOtherTypes: RequestHandler = (req, _res, next) => {
  if (!req.is(["application/json", "application/*+json"])) {
    throw new FellmarkError("unsupported_media_type", "the body must be application/json");
  }
  const charset = /charset\s*=\s*"?([^\s";]+)/i.exec(req.get("Content-Type") ?? "")?.[1] ?? "utf-8";
  if (!/^utf-?8$/i.test(charset)) throw new FellmarkError("unsupported_media_type", "the body must be UTF-8");
  next();
};
