import type { LayerShelf, LayerVersion } from "@fellmark/ledger";
import { parseBody, parseJsonBody } from "@fellmark/network";
import { FellmarkError, NotFoundError } from "@fellmark/units";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { createNoLayerError, findNumberedVersion, readLayerKey } from "./find-layer.ts";
import { versionBodySchema } from "./layer-schemas.ts";
import { toVersionState } from "./layer-state.ts";

/** Publishes the draft: from this moment it is the latest. Asked again it changes nothing. */
export const publishLayer = createChange("publish", (version) =>
  version.state === "published" ? undefined : "only the draft can be published",
);

/** Takes the latest version back: the one that was published before it is the latest again. */
export const takeBackLayer = createChange("withdraw", (version) =>
  version.state === "withdrawn" ? undefined : "only the latest version can be taken back",
);

/** A change of the version in the body; `refuse` says why it was not made, undefined where it had been made before. */
function createChange(name: "publish" | "withdraw", refuse: (version: LayerVersion) => string | undefined) {
  return ({ ledger: { layers } }: ApiContext): RequestHandler =>
    async (req, res) => {
      const { tenant, layer } = readLayerKey(req);
      const { version } = parseBody(versionBodySchema, parseJsonBody(req.body));
      const changed = await layers[name](tenant, layer, version);
      const known = changed ?? (await findVersion(layers, tenant, layer, version));
      const reason = changed ? undefined : refuse(known);
      if (reason !== undefined) throw new FellmarkError("conflict", `${reason}: version ${version} is ${known.state}`);
      res.set("Cache-Control", "no-store").json(toVersionState(known));
    };
}

async function findVersion(layers: LayerShelf, tenant: string, layer: string, version: number): Promise<LayerVersion> {
  const known = await layers.find(tenant, layer, version);
  if (known) return known;
  if ((await layers.listVersions(tenant, layer)).length === 0) throw createNoLayerError();
  throw new NotFoundError("not found: no such version of this layer");
}

/** Takes a version out of use; the latest one stays, so that a page that shows it does not go blank. */
export function retireVersion({ ledger: { layers } }: ApiContext): RequestHandler {
  return async (req, res) => {
    const known = await findNumberedVersion(layers, req);
    const retired = await layers.retire(known.tenant, known.layer, known.version);
    if (!retired && known.state === "published")
      throw new FellmarkError("conflict", "the latest version cannot be retired: take it back, or publish another");
    res.set("Cache-Control", "no-store").json(toVersionState(retired ?? known));
  };
}
