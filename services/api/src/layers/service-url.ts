import { FellmarkError } from "@fellmark/units";
import type { Request } from "express";

/**
 * Scheme, host and port under which the caller reaches the service, as a trusted proxy states them.
 * Throws `bad_request` for a host that no URL can hold.
 */
export function readServiceUrl(req: Request): string {
  const text = `${req.protocol}://${req.host}`;
  if (!URL.canParse(text)) throw new FellmarkError("bad_request", "the header Host is not a host name");
  return new URL(text).origin;
}
