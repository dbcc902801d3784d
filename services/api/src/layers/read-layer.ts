import { buildStyle, buildTileJson, isTilePlace, type LayerDescription, type TilePlace } from "@fellmark/layers";
import type { EmbedToken, LayerVersion } from "@fellmark/ledger";
import { FellmarkError, NotFoundError } from "@fellmark/units";
import type { Request, Response } from "express";
import type { z } from "zod";
import type { ApiContext } from "../context.ts";
import type { Operation } from "../http/route-table.ts";
import { admitReader } from "./admit-reader.ts";
import { createNoLayerError, describeVersion, findReadableVersion, nameVersion } from "./find-layer.ts";
import { packBytes, sendBytes } from "./layer-bytes.ts";
import { fileQuerySchema, pictureQuerySchema } from "./layer-schemas.ts";
import { LAYERS_PATH } from "./layer-state.ts";
import { findObject } from "./layer-tiles.ts";
import { readServiceUrl } from "./service-url.ts";

const YEAR_S = 31_536_000;
const LATEST_S = 60;

/** One request for something of a version, once the caller was let in. */
interface Reading<Query> {
  context: ApiContext;
  req: Request;
  res: Response;
  version: LayerVersion;
  query: Query;
}

/** An operation on what the path names of a version: parameters, token, version and cache headers in this order. */
function readLayer<Query extends { token?: string | undefined }>(
  querySchema: z.ZodType<Query>,
  reply: (reading: Reading<Query>) => Promise<void>,
): Operation {
  return (context) => async (req, res) => {
    const query = readQuery(querySchema, req);
    const token = await admitReader(context, req, res, query.token);
    const version = await findReadableVersion(context.ledger.layers, req);
    if (version.state === "draft" && token) throw createNoLayerError();
    res.set("Cache-Control", wordCaching(version, req.params.version === "latest", token, context.now()));
    await reply({ context, req, res, version, query });
  };
}

/** Throws `bad_request` that names what is not a parameter here, or has a wrong value. */
function readQuery<Query>(schema: z.ZodType<Query>, req: Request): Query {
  const parsed = schema.safeParse(req.query);
  if (parsed.success) return parsed.data;
  const faults = parsed.error.issues.map(({ path, message }) => `${path.join("/") || "query"}: ${message}`);
  throw new FellmarkError("bad_request", faults.join("; "));
}

/** Source: RFC 9111, section 5.2.2, RFC 8246 (immutable). With a token no longer than that holds, and by no shared cache. */
function wordCaching({ state }: LayerVersion, isLatest: boolean, token: EmbedToken | undefined, nowMs: number): string {
  if (state === "draft") return "no-store";
  const leftS = token ? Math.floor((token.expiresAtMs - nowMs) / 1000) : YEAR_S;
  const ageS = Math.min(isLatest ? LATEST_S : YEAR_S, leftS);
  return `${token ? "private" : "public"}, max-age=${ageS}${isLatest ? "" : ", immutable"}`;
}

export const getVectorTile = readLayer(fileQuerySchema, async ({ context, req, res, version }) => {
  const tile = await context.layerTiles.vector(version, readPlace(req, describeVersion(version)));
  if (tile) sendBytes(req, res, tile, "application/vnd.mapbox-vector-tile");
  else res.status(204).end();
});

export const getPictureTile = readLayer(pictureQuerySchema, async ({ context, req, res, version, query }) => {
  const place = readPlace(req, describeVersion(version));
  const tile = await context.layerTiles.picture(version, place, query.size === "512" ? 512 : 256);
  if (tile) sendBytes(req, res, tile, "image/png");
  else res.status(204).end();
});

/** Throws `bad_request` for what is not a number, NotFoundError for a tile that is not of the set. Source: OGC 20-057, 7.1. */
function readPlace(req: Request, { minZoom, maxZoom }: LayerDescription): TilePlace {
  const [z, x, y] = [req.params.z, req.params.x, req.params.y].map((text) =>
    /^\d{1,10}$/.test(String(text)) ? Number(text) : Number.NaN,
  );
  const place = { z, x, y };
  if ([z, x, y].some(Number.isNaN)) throw new FellmarkError("bad_request", "z, x and y must be whole numbers from 0");
  if (z < minZoom || z > maxZoom) throw new NotFoundError(`the layer has tiles of zoom ${minZoom} to ${maxZoom}`);
  if (!isTilePlace(place)) throw new NotFoundError(`zoom ${z} has no tile ${x}, ${y}`);
  return place;
}

/** URL below a version, with the caller's token; always of the numbered version, so that one map shows one. */
function buildUrl({ req, version, query }: Reading<{ token?: string | undefined }>, below: string): string {
  const token = query.token === undefined ? "" : `?token=${encodeURIComponent(query.token)}`;
  return `${readServiceUrl(req)}${LAYERS_PATH}/${version.layer}/${nameVersion(version)}/${below}${token}`;
}

export const getTileJson = readLayer(fileQuerySchema, async (reading) => {
  const tiles = buildUrl(reading, "tiles/{z}/{x}/{y}.mvt");
  await sendJson(reading, buildTileJson(describeVersion(reading.version), tiles));
});

export const getStyle = readLayer(fileQuerySchema, async (reading) => {
  const urls = { tileJson: buildUrl(reading, "tilejson.json"), sprite: buildUrl(reading, "sprite") };
  await sendJson(reading, buildStyle(describeVersion(reading.version), urls));
});

async function sendJson({ req, res }: Pick<Reading<unknown>, "req" | "res">, document: object): Promise<void> {
  sendBytes(req, res, await packBytes(JSON.stringify(document), true), "application/json");
}

/** A file of a version, compressed where the caller takes that; ranges are of the file as it is. */
export function getLayerFile(name: string, mediaType: string): Operation {
  return readLayer(fileQuerySchema, async ({ context, req, res, version }) => {
    if (req.get("Range") !== undefined) return sendStored({ context, req, res, version }, name, mediaType);
    res.set("Accept-Ranges", "bytes");
    sendBytes(req, res, await context.layerTiles.file(version, name), mediaType);
  });
}

/** A large file of a version, sent from the disk. */
export function getLayerArchive(name: string, mediaType: string): Operation {
  return readLayer(fileQuerySchema, async (reading) => sendStored(reading, name, mediaType));
}

/** Sends a file or a range of it. Source: RFC 9110, section 14. */
function sendStored(reading: Omit<Reading<unknown>, "query">, name: string, mediaType: string): void {
  const { context, req, res, version } = reading;
  const { path, sha256 } = findObject(context.objects, version, name);
  res.set("ETag", `"${sha256}"`).type(mediaType);
  delete req.headers["cache-control"];
  res.sendFile(path, { cacheControl: false, lastModified: false, dotfiles: "allow" });
}
