import { describeTitle } from "@fellmark/network";
import { z } from "zod";
import { formatVersion, makeNullable } from "../http/reply-parts.ts";

const MAX_TITLE_CHARS = 200;
const MAX_ATTRIBUTION_CHARS = 300;
const MAX_ORIGINS = 20;

export const LAYER_NAME = /^[a-z0-9][a-z0-9-]{0,62}$/;

const layerName = z
  .string()
  .regex(LAYER_NAME)
  .meta({ description: "Name of the layer: a-z, 0-9 and -", example: "plans" });
const versionNumber = z.int().min(1).max(999_999_999).describe("Number of the version, counted from 1 in each layer");
const day = (what: string) => z.iso.date().describe(`${what}, YYYY-MM-DD`);
const dayOrNull = (what: string) => z.iso.date().nullable().describe(`${what}, YYYY-MM-DD`);
const timeOrNull = (what: string) => z.iso.datetime().nullable().describe(`${what}, ISO 8601 in UTC`);
const time = (what: string) => z.iso.datetime().describe(`${what}, ISO 8601 in UTC`);

const sourceSchema = z
  .discriminatedUnion("kind", [
    z.strictObject({
      kind: z.literal("coverage").describe("`coverage`: the tiers of one coverage that is done"),
      id: z
        .string()
        .regex(/^j[0-9a-f]{64}$/)
        .describe("Id of the coverage"),
    }),
  ])
  .describe("What the layer is made from");

/** The body of PUT /v1/layers/{layer}. */
export const layerBodySchema = z
  .strictObject({
    version: formatVersion,
    source: sourceSchema,
    title: describeTitle(MAX_TITLE_CHARS).min(1).describe("Title that maps and legends show"),
    attribution: describeTitle(MAX_ATTRIBUTION_CHARS).default("").describe("Who is named as the source of the layer"),
    validFrom: z.iso
      .date()
      .optional()
      .describe("First day on which the layer holds; if absent, the day it was computed"),
    validUntil: z.iso
      .date()
      .nullable()
      .default(null)
      .describe("Last day on which it holds; null: until further notice"),
  })
  .refine(({ validFrom, validUntil }) => !validFrom || !validUntil || validFrom <= validUntil, {
    path: ["validUntil"],
    message: "must not be before validFrom",
  })
  .meta({ id: "Layer" });

/** The body of publish and take-back: the version that is meant, so that of two callers one is told. */
export const versionBodySchema = z.strictObject({ version: versionNumber }).meta({ id: "LayerVersionChoice" });

/** The reply about one version, for the provider: the public gets its files only. */
export const layerVersionSchema = z
  .object({
    layer: layerName,
    version: versionNumber,
    state: z
      .enum(["draft", "published", "withdrawn", "retired"])
      .describe(
        "`draft`: not public yet; `published`: can be read; `withdrawn`: was taken back; `retired`: is out of use",
      ),
    source: sourceSchema,
    title: z.string().describe("Title that maps and legends show"),
    attribution: z.string().describe("Who is named as the source of the layer"),
    validFrom: day("First day on which it holds"),
    validUntil: dayOrNull("Last day on which it holds; null: until further notice"),
    notKnownShare: z.number().min(0).max(1).describe("Share of its area where the elevation is not known"),
    bytes: z.int().min(0).describe("Bytes of all its files"),
    createdAt: time("Time at which the draft was put"),
    publishedAt: timeOrNull("Time at which it was published; null: it was not"),
    links: z
      .object({
        tileJson: z.string().describe("Path of the TileJSON"),
        style: z.string().describe("Path of the style document"),
        legend: z.string().describe("Path of the legend"),
        archive: z.string().describe("Path of all tiles as one PMTiles archive"),
        areas: z.string().describe("Path of the areas as GeoJSON"),
      })
      .describe("Paths of its main files"),
  })
  .meta({ id: "LayerVersion" });

export const layerStateSchema = z
  .object({
    layer: layerName,
    latest: layerVersionSchema.nullable().describe("Version that was published last; null: none can be read"),
    draft: versionNumber.nullable().describe("Number of the draft; null: there is none"),
    versions: z.int().min(0).describe("Number of versions, also those that can no longer be read"),
  })
  .meta({ id: "LayerState" });

export const layerListSchema = z
  .object({ layers: z.array(layerStateSchema).describe("Layers in the order of their names") })
  .meta({ id: "LayerList" });

export const layerVersionsSchema = z
  .object({ versions: z.array(layerVersionSchema).describe("Versions, newest first") })
  .meta({ id: "LayerVersions" });

const originSchema = z
  .string()
  .max(300)
  .refine(isOrigin, 'must be scheme and host of web pages, such as "https://example.net"');

function isOrigin(text: string): boolean {
  return URL.canParse(text) && /^https?:$/.test(new URL(text).protocol) && new URL(text).origin === text;
}

/** The body of POST /v1/layers/{layer}/tokens. */
export const tokenBodySchema = z
  .strictObject({
    origins: z
      .array(originSchema)
      .max(MAX_ORIGINS)
      .describe("Origins of the web pages that may load the layer; none: only clients other than web pages"),
    expiresAt: z.iso
      .datetime({ offset: true })
      .meta({ description: "End of the token, ISO 8601 with offset", example: "2027-12-31T23:59:59Z" }),
  })
  .meta({ id: "EmbedTokenRequest" });

const tokenFields = {
  id: z.string().describe("Id of the token, for revoking it"),
  origins: z.array(z.string()).describe("Origins of the web pages that may load the layer"),
  createdAt: time("Time at which it was made"),
  expiresAt: time("End of the token"),
  revokedAt: timeOrNull("Time at which it was revoked; null: it was not"),
};

export const embedTokenSchema = z.object(tokenFields).meta({ id: "EmbedToken" });

export const newTokenSchema = embedTokenSchema
  .extend({
    token: z.string().describe("The token, shown once: append ?token=... to the addresses of the layer"),
    tileJson: z.string().describe("URL of the latest TileJSON with the token"),
    style: z.string().describe("URL of the latest style document with the token"),
  })
  .meta({ id: "NewEmbedToken" });

export const tokenListSchema = z
  .object({ tokens: z.array(embedTokenSchema).describe("Tokens, newest first, also those that have ended") })
  .meta({ id: "EmbedTokenList" });

const tokenParam = z
  .string()
  .max(100)
  .optional()
  .meta({ description: "Embed token, where a web page loads the layer" });

/** Query parameters of files of a layer. */
export const fileQuerySchema = z.strictObject({ token: tokenParam });

export const pictureQuerySchema = z.strictObject({
  token: tokenParam,
  size: z.enum(["256", "512"]).default("256").describe("Pixels along one side: `256` or `512`"),
});

/** Parts of the paths. */
export const layerParam = layerName;
export const versionParam = z
  .string()
  .regex(/^(latest|draft|[1-9]\d{0,8})$/)
  .meta({
    description: "Number of a version that was published, `latest`, or `draft`, which is for the provider alone",
    example: "latest",
  });

/** Legend, TileJSON and style as documents; their formats are described elsewhere. */
export const tileJsonSchema = z
  .looseObject({
    tilejson: z.literal("3.0.0").describe("Version of the format"),
    tiles: z.array(z.string()).describe("URL templates of the tiles"),
    name: z.string().describe("Title of the layer, HTML-escaped"),
    notKnownShare: makeNullable(z.number().describe("Share of the area where the elevation is not known"), "never"),
  })
  .meta({ id: "TileJson" });
