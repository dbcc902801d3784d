import { LAYER_FILES } from "@fellmark/layers";
import { type RouteTable, withJsonBody } from "../http/route-table.ts";
import { publishLayer, retireVersion, takeBackLayer } from "./change-layer.ts";
import { listTokens, postToken, revokeToken } from "./embed-tokens.ts";
import { getLayer, listLayers, listVersions } from "./get-layers.ts";
import { LAYERS_PATH } from "./layer-state.ts";
import { putLayer } from "./put-layer.ts";
import { getLayerArchive, getLayerFile, getPictureTile, getStyle, getTileJson, getVectorTile } from "./read-layer.ts";

const LAYER = `${LAYERS_PATH}/:layer`;
const VERSION = `${LAYER}/:version`;

/** Layers as the provider keeps them. The paths of versions and tokens stand first: they look like versions' files. */
const KEEPING: RouteTable = {
  [LAYERS_PATH]: { get: listLayers },
  [LAYER]: { get: getLayer, put: withJsonBody(putLayer) },
  [`${LAYER}/publish`]: { post: withJsonBody(publishLayer) },
  [`${LAYER}/take-back`]: { post: withJsonBody(takeBackLayer) },
  [`${LAYER}/versions`]: { get: listVersions },
  [`${LAYER}/versions/:version`]: { delete: retireVersion },
  [`${LAYER}/tokens`]: { get: listTokens, post: withJsonBody(postToken) },
  [`${LAYER}/tokens/:tokenId`]: { delete: revokeToken },
};

/** Endpoints for map clients and web pages: plan, speeds, class and date, and nothing else. */
const READING: RouteTable = {
  [`${VERSION}/tiles/:z/:x/:y.mvt`]: { get: getVectorTile },
  [`${VERSION}/tiles/:z/:x/:y.png`]: { get: getPictureTile },
  [`${VERSION}/tilejson.json`]: { get: getTileJson },
  [`${VERSION}/style.json`]: { get: getStyle },
  [`${VERSION}/sprite.json`]: { get: getLayerFile(LAYER_FILES.sprite, "application/json") },
  [`${VERSION}/sprite.png`]: { get: getLayerFile(LAYER_FILES.spritePng, "image/png") },
  [`${VERSION}/sprite@2x.json`]: { get: getLayerFile(LAYER_FILES.sprite, "application/json") },
  [`${VERSION}/sprite@2x.png`]: { get: getLayerFile(LAYER_FILES.spritePng, "image/png") },
  [`${VERSION}/legend.json`]: { get: getLayerFile(LAYER_FILES.legend, "application/json") },
  [`${VERSION}/legend.svg`]: { get: getLayerFile(LAYER_FILES.legendSvg, "image/svg+xml") },
  [`${VERSION}/legend.png`]: { get: getLayerFile(LAYER_FILES.legendPng, "image/png") },
  [`${VERSION}/areas.geojson`]: { get: getLayerFile(LAYER_FILES.areas, "application/geo+json") },
  [`${VERSION}/areas.csv`]: { get: getLayerFile(LAYER_FILES.areasTable, "text/csv") },
  [`${VERSION}/archive.pmtiles`]: { get: getLayerArchive(LAYER_FILES.archive, "application/vnd.pmtiles") },
};

export const LAYER_ROUTES: RouteTable = { ...KEEPING, ...READING };

/** Paths at which a browser asks first whether a page may send headers of its own. */
export const PREFLIGHT_PATHS = Object.keys(READING);
