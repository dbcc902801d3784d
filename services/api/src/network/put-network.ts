import {
  checkAntennaTexts,
  findNetworkSlips,
  listAntennaTexts,
  parseJsonBody,
  parseNetwork,
  toCanonicalNetwork,
} from "@fellmark/network";
import type { Request, RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { tenantOf } from "../http/tenant.ts";
import type { NetworkState } from "./network-state.ts";

/**
 * Makes a document the tenant's network: 201 with its version and what looks wrong in it, 200 when it is already.
 * With If-Match, 412 unless that version is the current one.
 */
export function putNetwork(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const network = parseNetwork(parseJsonBody(req.body));
    await checkAntennaTexts(listAntennaTexts(network));
    const tenant = tenantOf(req);
    const put = { tenant, ...toCanonicalNetwork(network) };
    const { network: stored, created } = await context.ledger.putNetwork(put, await replacedBy(context, tenant, req));
    const { version, number } = stored;
    const state: NetworkState = {
      version,
      number,
      findings: findNetworkSlips(network, await context.terrain.readFacts(network)),
    };
    res.set({ ETag: `"${version}"`, Location: "/v1/network", "Cache-Control": "no-store" });
    res.status(created ? 201 : 200).json(state);
  };
}

/** The version that must be current by If-Match; `*` means any. */
async function replacedBy({ ledger }: ApiContext, tenant: string, req: Request): Promise<string | undefined> {
  const wanted = req.get("If-Match")?.replaceAll('"', "");
  return wanted === "*" ? ((await ledger.findCurrentNetwork(tenant))?.version ?? wanted) : wanted;
}
