import { promisify } from "node:util";
import { crc32, deflate } from "node:zlib";
import type { Rgb } from "./colour.ts";

const SIGNATURE = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);

/** Colour type 3: each pixel is an index into the palette. Source: W3C PNG (Third Edition), section 11. */
const INDEXED = 3;

/**
 * A PNG of one byte a pixel.
 * `indices` is row-major and holds places in `buildPalette`, which has 256 colours at most. No row filter: neighbouring
 * indices mean nothing to each other. `opacities` are those of the first colours, 0 to 255; further ones are opaque. Nothing but the picture is stored, so the same picture has the same bytes.
 */
export async function encodeIndexedPng(
  width: number,
  palette: readonly Rgb[],
  indices: Uint8Array,
  opacities: readonly number[] = [],
): Promise<Buffer> {
  const height = indices.length / width;
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, INDEXED, 0, 0, 0], 8);
  const scanlines = Buffer.alloc((width + 1) * height);
  for (let row = 0; row < height; row++) {
    scanlines.set(indices.subarray(row * width, (row + 1) * width), row * (width + 1) + 1);
  }
  return Buffer.concat([
    SIGNATURE,
    buildChunk("IHDR", header),
    buildChunk("PLTE", Buffer.from(palette.flat())),
    ...(opacities.length > 0 ? [buildChunk("tRNS", Buffer.from(opacities))] : []),
    buildChunk("IDAT", await promisify(deflate)(scanlines, { level: 6, memLevel: 9 })),
    buildChunk("IEND", Buffer.alloc(0)),
  ]);
}

function buildChunk(type: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(data.length);
  const checksum = Buffer.alloc(4);
  checksum.writeUInt32BE(crc32(body));
  return Buffer.concat([length, body, checksum]);
}
