import { LAYER_FILES } from "@fellmark/layers";
import { FellmarkError } from "@fellmark/units";
import type { RequestHandler } from "express";
import { type Operation, type RouteTable, readJsonBodyFirst } from "../http/route-table.ts";
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
  [LAYERS_PATH]: { get: withoutQuery(listLayers) },
  [LAYER]: { get: withoutQuery(getLayer), put: withoutQuery(readJsonBodyFirst(putLayer)) },
  [`${LAYER}/publish`]: { post: withoutQuery(readJsonBodyFirst(publishLayer)) },
  [`${LAYER}/take-back`]: { post: withoutQuery(readJsonBodyFirst(takeBackLayer)) },
  [`${LAYER}/versions`]: { get: withoutQuery(listVersions) },
  [`${LAYER}/versions/:version`]: { delete: withoutQuery(retireVersion) },
  [`${LAYER}/tokens`]: { get: withoutQuery(listTokens), post: withoutQuery(readJsonBodyFirst(postToken)) },
  [`${LAYER}/tokens/:tokenId`]: { delete: withoutQuery(revokeToken) },
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

/** The operation, which takes no parameters: one that is there is a slip. */
function withoutQuery(operation: Operation): Operation {
  const refuseQuery: RequestHandler = (req, _res, next) => {
    const [name] = Object.keys(req.query);
    if (name !== undefined) throw new FellmarkError("bad_request", `${name} is not a parameter of this path`);
    next();
  };
  return (context) => [refuseQuery, operation(context)].flat();
}

export const LAYER_ROUTES: RouteTable = { ...KEEPING, ...READING };

/** Paths at which a browser asks first whether a page may send headers of its own. */
export const PREFLIGHT_PATHS = Object.keys(READING);
