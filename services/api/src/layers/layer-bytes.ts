import { createHash } from "node:crypto";
import { promisify } from "node:util";
import { gzip } from "node:zlib";
import type { Request, Response } from "express";

/** A body with its compressed form; the names of both are strong ETags. */
export interface LayerBytes {
  plain: Buffer;
  /** Null where compression would not help. */
  packed: Buffer | null;
  etag: string;
}

/** Bytes below which compression saves nothing. */
const LEAST_PACKED_BYTES = 200;

export async function packBytes(content: Uint8Array | string, mayPack: boolean): Promise<LayerBytes> {
  const plain =
    typeof content === "string"
      ? Buffer.from(content)
      : Buffer.from(content.buffer, content.byteOffset, content.byteLength);
  const packed = mayPack && plain.length >= LEAST_PACKED_BYTES ? await promisify(gzip)(plain) : null;
  return { plain, packed, etag: createHash("sha256").update(plain).digest("hex") };
}

/**
 * Sends a body compressed where the caller takes that; 304 where it has it already. Each form has an ETag of its own.
 * Source: RFC 9110, sections 8.8.3.3 and 12.5.3.
 */
export function sendBytes(req: Request, res: Response, { plain, packed, etag }: LayerBytes, mediaType: string): void {
  const isPacked = packed !== null && req.acceptsEncodings("gzip", "identity") === "gzip";
  if (packed !== null) res.vary("Accept-Encoding");
  if (isPacked) res.set("Content-Encoding", "gzip");
  res.set("ETag", isPacked ? `"${etag}-gzip"` : `"${etag}"`);
  // no-cache of a request speaks to caches on the way (RFC 9111, 5.2.1.4); here, at the origin, the ETag decides.
  delete req.headers["cache-control"];
  res.type(mediaType).send(isPacked ? packed : plain);
}
