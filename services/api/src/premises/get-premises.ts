import { parseBody } from "@fellmark/network";
import type { Premises, PremisesList } from "@fellmark/premises";
import { NotFoundError } from "@fellmark/units";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { findTenant } from "../http/tenant.ts";
import { premisesQuerySchema } from "./premises-queries.ts";

/** Reply of a search and of the question for the nearest premises. */
export interface FoundPremises {
  version: 1;
  /** The list that was asked; null before the first import. */
  list: { version: string; count: number } | null;
  /** "tie": the best hits are equally good, and nothing says which is meant. */
  result: "found" | "tie" | "not-known";
  /** Best or nearest first. */
  hits: (Premises & { typos?: number; distanceM?: number })[];
}

/** Premises by the words of their address as they are typed, or the nearest to a point. */
export function getPremises({ premises }: Pick<ApiContext, "premises">): RequestHandler {
  return async (req, res) => {
    const query = parseBody(premisesQuerySchema, req.query);
    const list = await premises.list(findTenant(req));
    res.set("Cache-Control", "no-store").json(list ? toFoundPremises(list, query) : NO_LIST);
  };
}

const NO_LIST: FoundPremises = { version: 1, list: null, result: "not-known", hits: [] };

function toFoundPremises(
  list: PremisesList,
  { q = "", near, limit, typing }: ReturnType<typeof premisesQuerySchema.parse>,
): FoundPremises {
  const { version, count } = list;
  const { hits, tie } = near
    ? { hits: list.nearest({ lon: near[0], lat: near[1] }, limit), tie: false }
    : list.search(q, { isTyping: typing === "true", limit });
  const result = tie ? "tie" : hits.length > 0 ? "found" : "not-known";
  return { version: 1, list: { version, count }, result, hits };
}

/** One of the premises by its id. */
export function getPremisesById({ premises }: Pick<ApiContext, "premises">): RequestHandler {
  return async (req, res) => {
    const list = await premises.list(findTenant(req));
    const known = list?.withId(String(req.params.id));
    if (!known) throw new NotFoundError("not found: no such premises");
    res.set("Cache-Control", "no-store").json({ version: 1, ...known });
  };
}
