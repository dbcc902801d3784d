import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { findTenant } from "../http/tenant.ts";
import { createNoLayerError, readLayerKey } from "./find-layer.ts";
import { readLayerState, toVersionState } from "./layer-state.ts";

/** Every layer of the tenant. */
export function listLayers({ ledger: { layers } }: ApiContext): RequestHandler {
  return async (req, res) => {
    const tenant = findTenant(req);
    const names = await layers.listLayers(tenant);
    const states = await Promise.all(names.map((name) => readLayerState(layers, tenant, name)));
    res.set("Cache-Control", "no-store").json({ layers: states.filter((state) => state !== undefined) });
  };
}

export function getLayer({ ledger: { layers } }: ApiContext): RequestHandler {
  return async (req, res) => {
    const { tenant, layer } = readLayerKey(req);
    const state = await readLayerState(layers, tenant, layer);
    if (!state) throw createNoLayerError();
    res.set("Cache-Control", "no-store").json(state);
  };
}

export function listVersions({ ledger: { layers } }: ApiContext): RequestHandler {
  return async (req, res) => {
    const { tenant, layer } = readLayerKey(req);
    const versions = await layers.listVersions(tenant, layer);
    if (versions.length === 0) throw createNoLayerError();
    res.set("Cache-Control", "no-store").json({ versions: versions.map(toVersionState) });
  };
}
