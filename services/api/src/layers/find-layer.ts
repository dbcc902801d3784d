import type { LayerDescription } from "@fellmark/layers";
import type { LayerShelf, LayerVersion } from "@fellmark/ledger";
import { FellmarkError, NotFoundError } from "@fellmark/units";
import type { Request } from "express";
import { findTenant } from "../http/tenant.ts";
import { LAYER_NAME, versionParam } from "./layer-schemas.ts";

/** One answer for an unknown layer, a name that cannot be one, and another tenant's. */
export function createNoLayerError(): NotFoundError {
  return new NotFoundError("not found: no such layer");
}

/** Tenant and layer that the path names. Throws NotFoundError for what cannot be a layer. */
export function readLayerKey(req: Request): { tenant: string; layer: string } {
  const { layer } = req.params;
  if (typeof layer !== "string" || !LAYER_NAME.test(layer)) throw createNoLayerError();
  return { tenant: findTenant(req), layer };
}

/** The version that the path names by number, in whatever state. Throws NotFoundError where there is none. */
export async function findNumberedVersion(shelf: LayerShelf, req: Request): Promise<LayerVersion> {
  const { tenant, layer } = readLayerKey(req);
  const text = String(req.params.version);
  const version = /^[1-9]\d{0,8}$/.test(text) ? await shelf.find(tenant, layer, Number(text)) : undefined;
  if (!version) throw await createMissError(shelf, tenant, layer);
  return version;
}

/**
 * The version that can be read under the path: the draft by that name only, so that a proxy which lets numbers through
 * keeps it private. Throws `layer_gone` for one that was published and no longer is.
 */
export async function findReadableVersion(shelf: LayerShelf, req: Request): Promise<LayerVersion> {
  const { tenant, layer } = readLayerKey(req);
  if (!versionParam.safeParse(req.params.version).success) throw await createMissError(shelf, tenant, layer);
  const { version: name } = req.params;
  if (name === "latest" || name === "draft") {
    const named = await (name === "latest" ? shelf.findLatest(tenant, layer) : findDraft(shelf, tenant, layer));
    if (!named) throw await createMissError(shelf, tenant, layer);
    return named;
  }
  const numbered = await findNumberedVersion(shelf, req);
  if (numbered.state === "draft") throw await createMissError(shelf, tenant, layer);
  return requireReadable(numbered);
}

function requireReadable(version: LayerVersion): LayerVersion {
  if (version.state === "published") return version;
  const detail = version.state === "withdrawn" ? "was taken back" : "was retired";
  throw new FellmarkError("layer_gone", `version ${version.version} of this layer ${detail}: load latest`);
}

async function findDraft(shelf: LayerShelf, tenant: string, layer: string): Promise<LayerVersion | undefined> {
  return (await shelf.listVersions(tenant, layer)).find(({ state }) => state === "draft");
}

/** Name of a version in paths. */
export function nameVersion({ state, version }: Pick<LayerVersion, "state" | "version">): string {
  return state === "draft" ? "draft" : String(version);
}

async function createMissError(shelf: LayerShelf, tenant: string, layer: string): Promise<NotFoundError> {
  const [known] = await shelf.listVersions(tenant, layer);
  return known ? new NotFoundError("not found: no such version of this layer") : createNoLayerError();
}

export function describeVersion({ version, description }: LayerVersion): LayerDescription {
  return { ...(JSON.parse(description) as Omit<LayerDescription, "version">), version };
}
