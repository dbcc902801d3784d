import { Readable } from "node:stream";
import { promisify } from "node:util";
import { createGunzip, gzip } from "node:zlib";
import type { LatticeWindow } from "@fellmark/geodesy";
import type { TierPlan } from "@fellmark/tiers";
import type { LayerRaster } from "../layer-raster.ts";

/** Name of the file of classes in the result of a coverage. */
export const TIER_CLASSES_FILE = "tier-classes.bin";

/** Longest text of plans and windows: 32 plans and 25 zooms need a tenth of it. */
const MAX_HEADER_BYTES = 65_536;

/** Longest content, five times that of the largest coverage with its coarser levels. */
const MAX_BYTES = 2 ** 28;

interface Header {
  version: 1;
  plans: TierPlan[];
  levels: LatticeWindow[];
}

/**
 * Returns a layer's classes as the bytes of a file: gzip over one line of JSON (plans, window of each level), then the
 * classes of each level, one byte a cell. Equal rasters have equal bytes.
 */
export function encodeRaster({ plans, levels }: LayerRaster): Promise<Buffer> {
  const header: Header = {
    version: 1,
    plans: plans.map(({ id, downMbps, upMbps }) => ({ id, downMbps, upMbps })),
    levels: levels.map(({ window: { zoom, col0, row0, width, height } }) => ({ zoom, col0, row0, width, height })),
  };
  const bytes = Buffer.concat([Buffer.from(`${JSON.stringify(header)}\n`), ...levels.map(({ classes }) => classes)]);
  return promisify(gzip)(bytes, { level: 6 });
}

/** Returns what encodeRaster was given. Throws RangeError for bytes that are not such a file. */
export async function decodeRaster(file: Uint8Array): Promise<LayerRaster> {
  const bytes = await unpack(file);
  const end = bytes.subarray(0, MAX_HEADER_BYTES).indexOf("\n");
  if (end < 0) throw new RangeError("the file of the layer's classes has no header");
  const { version, plans, levels } = JSON.parse(bytes.toString("utf8", 0, end)) as Header;
  if (version !== 1) throw new RangeError(`the file of the layer's classes has version ${version}, not 1`);
  const cells = levels.reduce((sum, { width, height }) => sum + width * height, 0);
  if (bytes.length !== end + 1 + cells) throw new RangeError("the file of the layer's classes is cut short");
  let at = end + 1;
  const read = levels.map((window) => {
    // Not a part of the Buffer: slice() of a Buffer is not a copy, and whoever changes one would change the layer.
    const classes = new Uint8Array(bytes.buffer, bytes.byteOffset + at, window.width * window.height);
    at += classes.length;
    return { window, classes };
  });
  return { plans, levels: read };
}

/** The content of a gzip file, filled into one array whose length stands at its end. Source: RFC 1952, section 2.3.1, ISIZE. */
async function unpack(file: Uint8Array): Promise<Buffer> {
  const length = file.length < 4 ? 0 : new DataView(file.buffer, file.byteOffset + file.length - 4).getUint32(0, true);
  if (length > MAX_BYTES) throw new RangeError(`the file of the layer's classes has ${length} bytes or is cut short`);
  const bytes = Buffer.alloc(length);
  let end = 0;
  for await (const chunk of Readable.from([file]).pipe(createGunzip()) as AsyncIterable<Buffer>) {
    if (end + chunk.length > length) throw new RangeError("the file of the layer's classes is longer than it says");
    chunk.copy(bytes, end);
    end += chunk.length;
  }
  if (end < length) throw new RangeError("the file of the layer's classes is cut short");
  return bytes;
}
