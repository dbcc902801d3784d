import type { NetworkRecord } from "@fellmark/ledger";
import { buildNetworkJsonSchema } from "@fellmark/network";
import { NotFoundError } from "@fellmark/units";
import type { Request, RequestHandler, Response } from "express";
import type { ApiContext } from "../context.ts";
import { findTenant } from "../http/tenant.ts";
import { createNoNetworkError } from "./find-named-network.ts";
import type { NetworkVersions } from "./network-state.ts";

/** The current network as it is kept: canonical, with its version as ETag. */
export function getNetwork({ ledger }: ApiContext): RequestHandler {
  return async (req, res) => {
    const network = await ledger.findCurrentNetwork(findTenant(req));
    if (!network) throw createNoNetworkError();
    sendNetwork(req, res, network);
  };
}

/** One version of the network. */
export function getNetworkVersion({ ledger }: ApiContext): RequestHandler {
  return async (req, res) => {
    const network = await ledger.findNetwork(findTenant(req), String(req.params.version));
    if (!network) throw new NotFoundError("not found: no such version of the network");
    sendNetwork(req, res, network);
  };
}

export function getNetworkVersions({ ledger }: ApiContext): RequestHandler {
  return async (req, res) => {
    const kept = await ledger.listNetworks(findTenant(req));
    const versions = kept.map(({ version, number, createdAtMs }) => {
      return { version, number, createdAt: new Date(createdAtMs).toISOString() };
    });
    res.set("Cache-Control", "no-store").json({ versions } satisfies NetworkVersions);
  };
}

/** JSON Schema of the document that PUT /v1/network takes. */
export function getNetworkSchema(): RequestHandler {
  return (_req, res) =>
    void res.set("Cache-Control", "no-cache").type("application/schema+json").send(readSchemaText());
}

let schemaText: string | undefined;

/** The text of the schema, built when it is first read and once a process. */
function readSchemaText(): string {
  schemaText ??= JSON.stringify(buildNetworkJsonSchema());
  return schemaText;
}

function sendNetwork(req: Request, res: Response, { version, document }: NetworkRecord): void {
  res.set({ ETag: `"${version}"`, "Cache-Control": "private, no-cache" });
  if (req.fresh) res.status(304).end();
  else res.type("application/json").send(document);
}
