import { z } from "zod";
import type { ZodOpenApiPathsObject, ZodOpenApiResponsesObject } from "zod-openapi";
import {
  embedTokenSchema,
  fileQuerySchema,
  layerBodySchema,
  layerListSchema,
  layerParam,
  layerStateSchema,
  layerVersionSchema,
  layerVersionsSchema,
  newTokenSchema,
  pictureQuerySchema,
  tileJsonSchema,
  tokenBodySchema,
  tokenListSchema,
  versionBodySchema,
  versionParam,
} from "../layers/layer-schemas.ts";
import { LAYERS_PATH } from "../layers/layer-state.ts";
import { layerAreasSchema } from "../results/geojson-schema.ts";
import { binarySchema, describeJsonReply, describeRefusals, textSchema } from "./path-parts.ts";

const tags = ["layers"];
const LAYER = `${LAYERS_PATH}/{layer}`;
const VERSION = `${LAYER}/{version}`;
const ofLayer = { path: z.object({ layer: layerParam }) };
const numbered = { path: z.object({ layer: layerParam, version: z.string().describe("Number of the version") }) };
const sourceId = `j${"0f".repeat(32)}`;
const bodyRefusals = describeRefusals(400, 404, 409, 413, 415, 422, 429, 503);

const json = (schema: z.ZodType, example?: unknown) => ({
  required: true,
  content: { "application/json": { schema, ...(example !== undefined && { example }) } },
});

/** The operation that changes one version by a call. */
function changePath(operationId: string, summary: string, description: string): ZodOpenApiPathsObject[string] {
  return {
    post: {
      ...{ operationId, tags, summary, description },
      requestParams: ofLayer,
      requestBody: json(versionBodySchema, { version: 3 }),
      responses: { ...describeJsonReply("The version as it now is", layerVersionSchema), ...bodyRefusals },
    },
  };
}

interface LayerFile {
  operationId: string;
  summary: string;
  description?: string;
  mediaType: string;
  schema?: z.ZodType;
  path?: Record<string, z.ZodType>;
  query?: z.ZodObject;
  more?: ZodOpenApiResponsesObject;
}

const ETAG = { ETag: { schema: { type: "string" as const }, description: "Strong: changes with every byte" } };

/** The operation that reads something of a version, which web pages may call with a token. */
function filePath(file: LayerFile): ZodOpenApiPathsObject[string] {
  const { operationId, summary, description, mediaType, schema = binarySchema, path = {}, query, more = {} } = file;
  return {
    get: {
      ...{ operationId, tags, summary, ...(description !== undefined && { description }) },
      requestParams: {
        path: z.object({ layer: layerParam, version: versionParam, ...path }),
        query: query ?? fileQuerySchema,
        header: z.object({
          "If-None-Match": z.string().optional().meta({ description: "ETag of the copy that the caller has" }),
        }),
      },
      responses: {
        "200": { description: "The file", headers: ETAG, content: { [mediaType]: { schema } } },
        ...more,
        "304": { description: "Unchanged" },
        ...describeRefusals(400, 401, 403, 404, 410, 429),
      },
    },
  };
}

const tileOf = (axis: string) =>
  z
    .string()
    .regex(/^\d{1,10}$/)
    .describe(`${axis} of the tile, WebMercatorQuad`);
const tilePath = { z: tileOf("Zoom"), x: tileOf("Column"), y: tileOf("Row, from the north,") };
const emptyTile = { "204": { description: "The tile is empty" } };
const anyObject = z.looseObject({});

const keepingPaths: ZodOpenApiPathsObject = {
  [LAYERS_PATH]: {
    get: {
      ...{ operationId: "listLayers", tags, summary: "Layers with their latest versions" },
      responses: { ...describeJsonReply("The layers", layerListSchema), ...describeRefusals(400, 429, 503) },
    },
  },
  [LAYER]: {
    get: {
      ...{ operationId: "getLayer", tags, summary: "A layer with its latest version" },
      requestParams: ofLayer,
      responses: { ...describeJsonReply("The layer", layerStateSchema), ...describeRefusals(400, 404, 429, 503) },
    },
    put: {
      ...{ operationId: "putLayer", tags, summary: "Make a draft of a layer from a coverage that is done" },
      description:
        "The draft replaces the draft before it and can be looked at under the name draft; publish makes it public. Its " +
        "files are copies: the coverage may be removed. Small areas that could mark out a home are hidden.",
      requestParams: ofLayer,
      requestBody: json(layerBodySchema, {
        version: 1,
        source: { kind: "coverage", id: sourceId },
        title: "Plans on the island",
        attribution: "Tollivast Air Link",
      }),
      responses: {
        "201": { description: "The draft", content: { "application/json": { schema: layerVersionSchema } } },
        "200": { description: "The draft was there", content: { "application/json": { schema: layerVersionSchema } } },
        ...bodyRefusals,
        ...describeRefusals(507),
      },
    },
  },
  [`${LAYER}/publish`]: changePath(
    "publishLayer",
    "Publish the draft",
    "One step: before it the older version is the latest, after it this one. Asked again it changes nothing.",
  ),
  [`${LAYER}/take-back`]: changePath(
    "takeBackLayer",
    "Take the latest version back",
    "The version published before it is the latest again. Caches may show what was taken back for a minute.",
  ),
  [`${LAYER}/versions`]: {
    get: {
      ...{ operationId: "listLayerVersions", tags, summary: "Versions of a layer, newest first" },
      requestParams: ofLayer,
      responses: { ...describeJsonReply("The versions", layerVersionsSchema), ...describeRefusals(400, 404, 429, 503) },
    },
  },
  [`${LAYER}/versions/{version}`]: {
    delete: {
      ...{ operationId: "retireLayerVersion", tags, summary: "Take an older version out of use" },
      requestParams: numbered,
      responses: {
        ...describeJsonReply("The version as it now is", layerVersionSchema),
        ...describeRefusals(400, 404, 409, 429, 503),
      },
    },
  },
  [`${LAYER}/tokens`]: {
    get: {
      ...{ operationId: "listEmbedTokens", tags, summary: "Embed tokens of a layer" },
      requestParams: ofLayer,
      responses: {
        ...describeJsonReply("The tokens without their secrets", tokenListSchema),
        ...describeRefusals(400, 404, 429, 503),
      },
    },
    post: {
      ...{ operationId: "createEmbedToken", tags, summary: "Make a token with which web pages load the layer" },
      description: "The token is shown once; only its hash is kept. It opens the files of this layer and nothing else.",
      requestParams: ofLayer,
      requestBody: json(tokenBodySchema, { origins: ["https://example.net"], expiresAt: "2027-12-31T23:59:59Z" }),
      responses: {
        "201": { description: "The token", content: { "application/json": { schema: newTokenSchema } } },
        ...describeRefusals(400, 404, 413, 415, 422, 429, 503),
      },
    },
  },
  [`${LAYER}/tokens/{tokenId}`]: {
    delete: {
      ...{ operationId: "revokeEmbedToken", tags, summary: "End a token at once" },
      requestParams: { path: z.object({ layer: layerParam, tokenId: z.string().describe("Id of the token") }) },
      responses: { ...describeJsonReply("The token", embedTokenSchema), ...describeRefusals(400, 404, 429, 503) },
    },
  },
};

const readingPaths: ZodOpenApiPathsObject = {
  [`${VERSION}/tiles/{z}/{x}/{y}.mvt`]: filePath({
    operationId: "getVectorTile",
    summary: "A vector tile, MVT 2.1",
    description: "Its one layer, tiers, has a feature for each class: class, plan, downMbps and upMbps.",
    mediaType: "application/vnd.mapbox-vector-tile",
    path: tilePath,
    more: emptyTile,
  }),
  [`${VERSION}/tiles/{z}/{x}/{y}.png`]: filePath({
    operationId: "getPictureTile",
    summary: "A tile as a picture, transparent outside",
    mediaType: "image/png",
    path: tilePath,
    query: pictureQuerySchema,
    more: emptyTile,
  }),
  [`${VERSION}/tilejson.json`]: filePath({
    operationId: "getTileJson",
    summary: "TileJSON 3.0 of the vector tiles",
    description: "Tiles are named by the number of the version, also under latest, so that a map shows one version.",
    mediaType: "application/json",
    schema: tileJsonSchema,
  }),
  [`${VERSION}/style.json`]: filePath({
    operationId: "getLayerStyle",
    summary: "Style document that a map library loads as it is",
    mediaType: "application/json",
    schema: anyObject,
  }),
  ...Object.fromEntries(
    ["", "@2x"].flatMap((scale, index) => [
      [
        `${VERSION}/sprite${scale}.json`,
        filePath({
          operationId: ["getSpriteIndex", "getDenseSpriteIndex"][index],
          summary: "Index of the patterns of the style",
          mediaType: "application/json",
          schema: anyObject,
        }),
      ],
      [
        `${VERSION}/sprite${scale}.png`,
        filePath({
          operationId: ["getSpritePicture", "getDenseSpritePicture"][index],
          summary: "Patterns of the style",
          mediaType: "image/png",
        }),
      ],
    ]),
  ),
  [`${VERSION}/legend.json`]: filePath({
    operationId: "getLegend",
    summary: "Legend: label, colours and pattern of each class, dates, confidence and CPE height",
    mediaType: "application/json",
    schema: anyObject,
  }),
  [`${VERSION}/legend.svg`]: filePath({
    operationId: "getLegendDrawing",
    summary: "Legend as SVG",
    mediaType: "image/svg+xml",
    schema: textSchema,
  }),
  [`${VERSION}/legend.png`]: filePath({
    operationId: "getLegendPicture",
    summary: "Legend as PNG",
    mediaType: "image/png",
  }),
  [`${VERSION}/areas.geojson`]: filePath({
    operationId: "getLayerAreas",
    summary: "Polygons by best plan",
    mediaType: "application/geo+json",
    schema: layerAreasSchema,
  }),
  [`${VERSION}/areas.csv`]: filePath({
    operationId: "getLayerAreaTable",
    summary: "Area of each class, exact sums of cells",
    mediaType: "text/csv",
    schema: textSchema,
  }),
  [`${VERSION}/archive.pmtiles`]: filePath({
    operationId: "getLayerArchive",
    summary: "All vector tiles as one PMTiles 3 archive",
    description: "Can be read by ranges from here, or copied to any host of files.",
    mediaType: "application/vnd.pmtiles",
    more: {
      ...describeRefusals(416),
      "206": {
        description: "The range that was asked for",
        content: { "application/vnd.pmtiles": { schema: binarySchema } },
      },
    },
  }),
};

export const layerPaths: ZodOpenApiPathsObject = { ...keepingPaths, ...readingPaths };
