import type { EmbedToken } from "@fellmark/ledger";
import { FellmarkError } from "@fellmark/units";
import type { Request, RequestHandler, Response } from "express";
import type { ApiContext } from "../context.ts";
import { hashToken } from "./embed-tokens.ts";
import { createNoLayerError, readLayerKey } from "./find-layer.ts";
import { readServiceUrl } from "./service-url.ts";

/** Headers that a page may send, and read of a reply: an archive is read by ranges that must be of one file. */
const CORS_HEADERS = {
  "Access-Control-Allow-Methods": "GET, HEAD",
  "Access-Control-Allow-Headers": "Range, If-Range, If-None-Match",
  "Access-Control-Max-Age": "86400",
};
const EXPOSED_HEADERS = "ETag, Content-Range, Accept-Ranges";

/**
 * Lets a caller read the layer that the path names, and tells its browser so. Web pages of other origins need a token;
 * callers that are no web page are the provider's own, as everywhere in this service, unless they show a token.
 * Returns the token, if there is one. Throws NotFoundError for a token of another layer, `token_missing`,
 * `token_unknown` and `token_expired` (401), `origin_refused` (403).
 */
export async function admitReader(
  { ledger: { layers }, now }: Pick<ApiContext, "ledger" | "now">,
  req: Request,
  res: Response,
  tokenText: string | undefined,
): Promise<EmbedToken | undefined> {
  res.vary("Origin").set("Cross-Origin-Resource-Policy", "cross-origin");
  const page = findForeignPage(req);
  if (tokenText === undefined) {
    if (page === undefined) return undefined;
    throw refuse(res, "token_missing", "a web page of another origin needs a token of this layer");
  }
  const token = await layers.findToken(hashToken(tokenText));
  if (!token) throw refuse(res, "token_unknown", "not found: no such token");
  const { tenant, layer } = readLayerKey(req);
  if (token.tenant !== tenant || token.layer !== layer) throw createNoLayerError();
  if (token.revokedAtMs !== null) throw refuse(res, "token_expired", "the token was revoked");
  if (token.expiresAtMs <= now()) throw refuse(res, "token_expired", "the token has expired");
  if (page === undefined) return token;
  if (!token.origins.includes(page)) throw new FellmarkError("origin_refused", "the token is not for this web page");
  res.set({ "Access-Control-Allow-Origin": page, "Access-Control-Expose-Headers": EXPOSED_HEADERS });
  return token;
}

/** Answers the question of a browser before it sends headers of its own. Source: Fetch Standard, CORS-preflight fetch. */
export function answerPreflight(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const { token } = req.query;
    await admitReader(context, req, res, typeof token === "string" ? token : undefined);
    res.set(CORS_HEADERS).status(204).end();
  };
}

/** RFC 9110, section 15.5.2: a 401 names the scheme that is accepted. */
function refuse(res: Response, code: string, detail: string): FellmarkError {
  res.set("WWW-Authenticate", 'Bearer realm="layer"');
  return new FellmarkError(code, detail);
}

/**
 * Origin of the web page of another origin that asks, undefined where none does. Pictures are asked for without Origin:
 * there the page is in Referer, or it is not told, which no token allows.
 */
function findForeignPage(req: Request): string | undefined {
  const own = readServiceUrl(req);
  const stated = req.get("Origin") ?? originOfReferer(req);
  if (stated !== undefined) return stated === own ? undefined : stated;
  const site = req.get("Sec-Fetch-Site") ?? "none";
  return site === "none" || site === "same-origin" ? undefined : "unknown";
}

function originOfReferer(req: Request): string | undefined {
  const referer = req.get("Referer");
  return referer !== undefined && URL.canParse(referer) ? new URL(referer).origin : undefined;
}
