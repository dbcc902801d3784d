import type { AnsweringSource } from "@fellmark/compute";
import { DEFAULT_RADIUS_M } from "@fellmark/network";
import type { Request, RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { toAsker } from "../http/asker.ts";
import { findTenant } from "../http/tenant.ts";
import type { NetworkState } from "./network-state.ts";
import { ownQuestionOf } from "./place-question.ts";

/** Time after which nobody waits for an opening any more. */
const OPENING_MS = 60_000;

/**
 * Makes a document the tenant's network: 201 with its version and what looks wrong in it, 200 when it is already.
 * With If-Match, 412 unless that version is the current one.
 */
export function putNetwork(context: ApiContext): RequestHandler {
  return async (req, res) => {
    const [tenant, asker] = [findTenant(req), toAsker({ req, res })];
    const body = req.body instanceof Uint8Array ? req.body : new Uint8Array();
    const { document, version, question } = await context.bodies.run(asker, "readNetwork", body);
    const replaces = await findReplaced(context, tenant, req);
    const { network, created } = await context.ledger.putNetwork({ tenant, document, version }, replaces);
    const facts = await context.terrain.readFacts(question);
    const findings = await context.bodies.run(asker, "findNetworkSlips", { document, facts });
    const state: NetworkState = { version, number: network.number, findings };
    res.set({ ETag: `"${version}"`, Location: "/v1/network", "Cache-Control": "no-store" });
    res.status(created ? 201 : 200).json(state);
    if (created)
      openAhead(context, { network: { version, document: async () => document }, radiusM: DEFAULT_RADIUS_M });
  };
}

/** Opens the network, as most ask it, before anybody does; who asks meanwhile waits for the same opening. */
function openAhead({ places, config: { terrainDir }, logger }: ApiContext, source: AnsweringSource): void {
  places
    .ask(ownQuestionOf(source), (answers, limits) => answers.prepare({ source, terrainDir }, limits), OPENING_MS)
    .catch((error: unknown) => logger.info({ err: error }, "the network was not opened ahead"));
}

/** The version that must be current by If-Match; `*` means any. */
async function findReplaced({ ledger }: ApiContext, tenant: string, req: Request): Promise<string | undefined> {
  const wanted = req.get("If-Match")?.replaceAll('"', "");
  return wanted === "*" ? ((await ledger.listNetworks(tenant))[0]?.version ?? wanted) : wanted;
}
