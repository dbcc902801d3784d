import { FellmarkError } from "@fellmark/units";
import type { RequestHandler } from "express";

/** Names under which a service that listens on this machine alone is reached. */
export const LOOPBACK_HOSTS = ["localhost", "127.0.0.1", "[::1]"];

/**
 * Refuses requests for other hosts with 421: a web page whose name was made to lead here must not read answers.
 * @param allowed host names without port, in lower case; absent: any host.
 */
export function allowHosts(allowed: readonly string[] | undefined): RequestHandler {
  const known = allowed && new Set(allowed);
  return (req, _res, next) => {
    if (known && !known.has(readHostName(req.headers.host ?? "")))
      throw new FellmarkError("unknown_host", "this host name is not served here: see FELLMARK_ALLOWED_HOSTS");
    next();
  };
}

function readHostName(host: string): string {
  return host.toLowerCase().replace(/:\d*$/, "").replace(/\.$/, "");
}
