import { LAYER_FILES } from "@fellmark/layers";
import type { LayerShelf, LayerVersion } from "@fellmark/ledger";
import type { z } from "zod";
import { describeVersion, nameVersion } from "./find-layer.ts";
import type { layerStateSchema, layerVersionSchema } from "./layer-schemas.ts";

export const LAYERS_PATH = "/v1/layers";

/** The reply about a version. */
export function toVersionState(version: LayerVersion): z.output<typeof layerVersionSchema> {
  const { title, attribution, validFrom, validUntil, notKnownShare } = describeVersion(version);
  const base = `${LAYERS_PATH}/${version.layer}/${nameVersion(version)}`;
  return {
    layer: version.layer,
    version: version.version,
    state: version.state,
    source: version.source,
    ...{ title, attribution, validFrom, validUntil, notKnownShare },
    bytes: version.files.reduce((sum, { bytes }) => sum + bytes, 0),
    createdAt: new Date(version.createdAtMs).toISOString(),
    publishedAt: version.publishedAtMs === null ? null : new Date(version.publishedAtMs).toISOString(),
    links: {
      tileJson: `${base}/tilejson.json`,
      style: `${base}/style.json`,
      legend: `${base}/${LAYER_FILES.legend}`,
      archive: `${base}/${LAYER_FILES.archive}`,
      areas: `${base}/${LAYER_FILES.areas}`,
    },
  };
}

/** The reply about a layer; undefined where it has no version. */
export async function readLayerState(
  shelf: LayerShelf,
  tenant: string,
  layer: string,
): Promise<z.output<typeof layerStateSchema> | undefined> {
  const versions = await shelf.listVersions(tenant, layer);
  if (versions.length === 0) return undefined;
  const latest = await shelf.findLatest(tenant, layer);
  return {
    layer,
    latest: latest ? toVersionState(latest) : null,
    draft: versions.find(({ state }) => state === "draft")?.version ?? null,
    versions: versions.length,
  };
}
