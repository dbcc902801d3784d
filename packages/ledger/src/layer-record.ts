import type { ResultFile } from "./result-file.ts";

/**
 * State of a version: `draft` is not public yet; `published` can be read; `withdrawn` was published by mistake;
 * `retired` is out of use.
 */
export type LayerState = "draft" | "published" | "withdrawn" | "retired";

/** Source of a version of a layer; further kinds of source are further members. */
export type LayerSource = { kind: "coverage"; id: string };

/** One version of a layer. Its files lie in the object store and outlive the job that they come from. */
export interface LayerVersion {
  tenant: string;
  layer: string;
  /** Counts the drafts of the layer, from 1; no number comes twice. */
  version: number;
  state: LayerState;
  source: LayerSource;
  /** JSON of what the public is told of it. */
  description: string;
  files: ResultFile[];
  /** Milliseconds since the epoch. */
  createdAtMs: number;
  /** Null until it was published. */
  publishedAtMs: number | null;
}

export type NewLayerVersion = Pick<LayerVersion, "tenant" | "layer" | "source" | "description" | "files">;

/** A right to read one layer from some web origins until a date. The token itself is not stored. */
export interface EmbedToken {
  tenant: string;
  layer: string;
  /** Name of the token for people; it opens nothing. */
  id: string;
  /** SHA-256 of the token, hexadecimal. */
  hash: string;
  /** Origins of web pages, such as https://example.net. */
  origins: string[];
  createdAtMs: number;
  expiresAtMs: number;
  /** Null while it has not been revoked. */
  revokedAtMs: number | null;
}

export type NewEmbedToken = Omit<EmbedToken, "createdAtMs" | "revokedAtMs">;

/** The layers of all tenants; no tenant sees another's. Every method is atomic. */
export interface LayerShelf {
  /**
   * Adds a draft; the layer's draft before it, if there is one, is retired. A draft with the same source, description
   * and files stays as it is.
   */
  putDraft(draft: NewLayerVersion): Promise<{ version: LayerVersion; created: boolean }>;
  /** draft -> published, which makes it the latest; undefined where there is no such draft. */
  publish(tenant: string, layer: string, version: number): Promise<LayerVersion | undefined>;
  /**
   * published -> withdrawn, if it is the latest: the one published before it is the latest again; undefined otherwise.
   */
  withdraw(tenant: string, layer: string, version: number): Promise<LayerVersion | undefined>;
  /** draft or published -> retired, unless it is the latest; undefined where it was not. */
  retire(tenant: string, layer: string, version: number): Promise<LayerVersion | undefined>;
  find(tenant: string, layer: string, version: number): Promise<LayerVersion | undefined>;
  /** The version that was published last of those that are published. */
  findLatest(tenant: string, layer: string): Promise<LayerVersion | undefined>;
  /** Versions of one layer, newest first. */
  listVersions(tenant: string, layer: string): Promise<LayerVersion[]>;
  /** Names of all layers that have a version, in order. */
  listLayers(tenant: string): Promise<string[]>;
  addToken(token: NewEmbedToken): Promise<EmbedToken>;
  /** Tokens of all tenants are told apart by their hash. */
  findToken(hash: string): Promise<EmbedToken | undefined>;
  /** Tokens of one layer, newest first. */
  listTokens(tenant: string, layer: string): Promise<EmbedToken[]>;
  /** The token as revoked; undefined where there is none of that id. */
  revokeToken(tenant: string, layer: string, id: string): Promise<EmbedToken | undefined>;
  /** Files of versions that can still be read, of all tenants. */
  listKeptFiles(): Promise<{ tenant: string; sha256: string }[]>;
}
