import { findBounds } from "../files/bounds.ts";
import { computeNotKnownShare } from "../files/layer-areas.ts";
import type { LayerFacts, LayerRaster } from "../layer-raster.ts";
import { SMALL_AREA_RULE } from "../raster/hide-small-areas.ts";
import { TILE_LAYER } from "../tiles/vector-tile.ts";
import { type LayerClass, listLayerClasses } from "./layer-classes.ts";
import { escapeXml, formatFacts, toHex } from "./legend.ts";
import { namePattern } from "./sprite.ts";

/** Parts of a layer's documents that need its classes; made once, when a version is prepared. */
export interface LayerOutline {
  bounds: [number, number, number, number];
  minZoom: number;
  maxZoom: number;
  notKnownShare: number;
}

export function outlineLayer(raster: LayerRaster): LayerOutline {
  const zooms = raster.levels.map(({ window }) => window.zoom);
  return {
    bounds: findBounds(raster),
    minZoom: Math.min(...zooms),
    maxZoom: Math.max(...zooms),
    notKnownShare: computeNotKnownShare(raster),
  };
}

/** A published layer without its classes. */
export interface LayerDescription extends LayerFacts, LayerOutline {
  plans: LayerRaster["plans"];
  /** Number of the version. */
  version: number;
}

/**
 * TileJSON 3.0 of the vector tiles; `tiles` is the URL template. Text is escaped: clients show it as HTML.
 * Facts that the format has no field for stand beside it.
 */
export function buildTileJson(layer: LayerDescription, tiles: string) {
  const { title, attribution, bounds, minZoom, maxZoom, version, plans } = layer;
  const { validFrom, validUntil, confidence, availability, cpeHeightAglM, notKnownShare } = layer;
  return {
    tilejson: "3.0.0",
    tiles: [tiles],
    name: escapeXml(title),
    description: escapeXml(formatFacts({ ...layer, attribution: "" }).join(". ")),
    attribution: escapeXml(attribution),
    version: `${version}.0.0`,
    scheme: "xyz",
    bounds,
    center: [(bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2, Math.max(minZoom, maxZoom - 2)],
    minzoom: minZoom,
    maxzoom: maxZoom,
    vector_layers: [
      {
        id: TILE_LAYER,
        description: "Areas by the best plan that holds there",
        minzoom: minZoom,
        maxzoom: maxZoom,
        fields: {
          class: "plan, survey-first, no-service or not-known",
          plan: "Id of the plan; absent without one",
          downMbps: "Downstream speed of the plan, Mbit/s",
          upMbps: "Upstream speed of the plan, Mbit/s",
        },
      },
    ],
    ...{ validFrom, validUntil, confidence, availability, cpeHeightAglM, notKnownShare, plans },
    smallAreas: SMALL_AREA_RULE,
  };
}

/** A style document of the layer alone, for map libraries. Source: Style Specification 8. */
export function buildStyle(layer: LayerDescription, urls: { tileJson: string; sprite: string }) {
  const { title, bounds, maxZoom, minZoom, plans } = layer;
  const classes = listLayerClasses(plans);
  return {
    version: 8,
    name: title,
    center: [(bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2],
    zoom: Math.max(minZoom, maxZoom - 2),
    sprite: urls.sprite,
    sources: { tiers: { type: "vector", url: urls.tileJson } },
    layers: [
      ...classes.map((one) => ({
        ...buildStyleLayer(one, "fill"),
        paint: { "fill-color": toHex(one.fill), "fill-opacity": one.opacity, "fill-antialias": false },
      })),
      ...classes
        .filter(({ pattern }) => pattern !== null)
        .map((one) => ({ ...buildStyleLayer(one, "pattern"), paint: { "fill-pattern": namePattern(one) } })),
    ],
  };
}

function buildStyleLayer({ value, kind, plan }: LayerClass, part: string) {
  const isOfClass = ["==", ["get", "class"], kind];
  return {
    id: `class-${value}-${part}`,
    type: "fill",
    source: "tiers",
    "source-layer": TILE_LAYER,
    filter: plan ? ["all", isOfClass, ["==", ["get", "plan"], plan.id]] : isOfClass,
  };
}
