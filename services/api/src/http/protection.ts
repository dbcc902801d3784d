import { randomUUID } from "node:crypto";
import { FellmarkError } from "@fellmark/units";
import type { RequestHandler } from "express";
import { rateLimit } from "express-rate-limit";
import helmet from "helmet";
import type { Logger } from "pino";
import { pinoHttp } from "pino-http";
import { nameCaller } from "./caller.ts";

const QUIET_ADDRESSES = ["/health/live", "/health/ready", "/metrics"];

/** One log line a request, with an id that the reply names too. No header is logged: some hold secrets; no query: some hold addresses. */
export function logRequests(logger: Logger): RequestHandler {
  return pinoHttp({
    logger,
    genReqId: (_req, res) => {
      const id = randomUUID();
      res.setHeader("X-Request-Id", id);
      return id;
    },
    autoLogging: { ignore: (req) => QUIET_ADDRESSES.includes(req.url ?? "") },
    serializers: {
      req: (req: { id: unknown; method: string; url: string }) => ({
        id: req.id,
        method: req.method,
        url: req.url.replace(/\?.*$/s, ""),
      }),
      res: (res: { statusCode: number }) => ({ statusCode: res.statusCode }),
    },
  });
}

/** Headers that let a browser do nothing with our replies but read them; the API page relaxes this for itself. */
export function createSecureHeaders(): RequestHandler {
  const directives = { defaultSrc: ["'none'"], frameAncestors: ["'none'"] };
  return helmet({ contentSecurityPolicy: { useDefaults: false, directives } });
}

/** So many requests a minute from one address; more are refused with 429. */
export function limitRate(maxRequestsPerMinute: number): RequestHandler {
  return rateLimit({
    windowMs: 60_000,
    limit: maxRequestsPerMinute,
    standardHeaders: "draft-7",
    legacyHeaders: false,
    // A forged X-Forwarded-For is ignored, as the number of trusted proxies says, and is no cause for alarm.
    // `nameCaller` counts a /64 of IPv6 as one caller; the library knows only its own helper.
    validate: { xForwardedForHeader: false, keyGeneratorIpFallback: false },
    keyGenerator: nameCaller,
    handler: () => {
      throw new FellmarkError("rate_limited", `more than ${maxRequestsPerMinute} requests in a minute`);
    },
  });
}
