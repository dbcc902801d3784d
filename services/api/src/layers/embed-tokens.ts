import { createHash, randomBytes, randomUUID } from "node:crypto";
import type { EmbedToken } from "@fellmark/ledger";
import { parseBody, parseJsonBody } from "@fellmark/network";
import { InputError, NotFoundError } from "@fellmark/units";
import type { Request, RequestHandler } from "express";
import type { z } from "zod";
import type { ApiContext } from "../context.ts";
import { createNoLayerError, readLayerKey } from "./find-layer.ts";
import { type embedTokenSchema, tokenBodySchema } from "./layer-schemas.ts";
import { LAYERS_PATH } from "./layer-state.ts";
import { readServiceUrl } from "./service-url.ts";

const DAY_MS = 86_400_000;
const MAX_DAYS = 5 * 366;

/** 192 bits: not to be guessed. */
const TOKEN_BYTES = 24;

/** The hash under which a token is stored. It is random and long, so no salt and no slow hash are needed. */
export function hashToken(token: string): string {
  return createHash("sha256").update(token).digest("hex");
}

/** Makes a token, which is told this once. */
export function postToken({ ledger: { layers }, now }: ApiContext): RequestHandler {
  return async (req, res) => {
    const { tenant, layer } = await requireLayer(layers, req);
    const { origins, expiresAt } = parseBody(tokenBodySchema, parseJsonBody(req.body));
    const expiresAtMs = Date.parse(expiresAt);
    if (expiresAtMs <= now() || expiresAtMs > now() + MAX_DAYS * DAY_MS) {
      const detail = "must lie in the future, within five years";
      throw new InputError([{ pointer: "/expiresAt", detail, limit: `${MAX_DAYS} days` }]);
    }
    const token = randomBytes(TOKEN_BYTES).toString("base64url");
    const id = randomUUID();
    const stored = await layers.addToken({ tenant, layer, id, hash: hashToken(token), origins, expiresAtMs });
    const latest = `${readServiceUrl(req)}${LAYERS_PATH}/${layer}/latest`;
    const urls = { tileJson: `${latest}/tilejson.json?token=${token}`, style: `${latest}/style.json?token=${token}` };
    res
      .set("Cache-Control", "no-store")
      .status(201)
      .json({ ...toTokenState(stored), token, ...urls });
  };
}

export function listTokens({ ledger: { layers } }: ApiContext): RequestHandler {
  return async (req, res) => {
    const { tenant, layer } = await requireLayer(layers, req);
    const tokens = await layers.listTokens(tenant, layer);
    res.set("Cache-Control", "no-store").json({ tokens: tokens.map(toTokenState) });
  };
}

/** Ends a token at once; the reply tells since when. */
export function revokeToken({ ledger: { layers } }: ApiContext): RequestHandler {
  return async (req, res) => {
    const { tenant, layer } = await requireLayer(layers, req);
    const revoked = await layers.revokeToken(tenant, layer, String(req.params.tokenId));
    if (!revoked) throw new NotFoundError("not found: no such token of this layer");
    res.set("Cache-Control", "no-store").json(toTokenState(revoked));
  };
}

async function requireLayer(layers: ApiContext["ledger"]["layers"], req: Request) {
  const key = readLayerKey(req);
  if ((await layers.listVersions(key.tenant, key.layer)).length === 0) throw createNoLayerError();
  return key;
}

function toTokenState({ id, origins, createdAtMs, expiresAtMs, revokedAtMs }: EmbedToken) {
  const state: z.output<typeof embedTokenSchema> = {
    id,
    origins,
    createdAt: new Date(createdAtMs).toISOString(),
    expiresAt: new Date(expiresAtMs).toISOString(),
    revokedAt: revokedAtMs === null ? null : new Date(revokedAtMs).toISOString(),
  };
  return state;
}
