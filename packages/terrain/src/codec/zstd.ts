import { Decompress } from "fzstd";

/** The largest window of a frame, as level 19 of the reference encoder uses it. RFC 8878, 3.1.1.1.2. */
const MAX_WINDOW_BYTES = 8 * 1024 * 1024;

/**
 * Expands Zstandard into `out` and returns the number of bytes written.
 * Throws RangeError when a frame wants too much memory or holds more than `out`, Error on damaged data.
 */
export function expandZstd(packed: Uint8Array, out: Uint8Array): number {
  const window = readWindowBytes(packed);
  if (window > Math.max(MAX_WINDOW_BYTES, out.length)) throw new RangeError(`a window of ${window} bytes is too large`);
  let written = 0;
  const stream = new Decompress((chunk) => {
    if (written + chunk.length > out.length) throw new RangeError(`more than the ${out.length} bytes of the block`);
    out.set(chunk, written);
    written += chunk.length;
  });
  stream.push(packed, true);
  return written;
}

/** Reads the memory that the first frame asks for. Source: RFC 8878, sections 3.1.1.1.1 to 3.1.1.1.4. */
function readWindowBytes(packed: Uint8Array): number {
  const view = new DataView(packed.buffer, packed.byteOffset, packed.byteLength);
  if (view.getUint32(0, true) !== 0xfd2fb528) throw new Error("no Zstandard frame");
  const descriptor = view.getUint8(4);
  const singleSegment = (descriptor & 0x20) !== 0;
  if (!singleSegment) {
    const base = 2 ** (10 + (view.getUint8(5) >> 3));
    return base + (base / 8) * (view.getUint8(5) & 7);
  }
  const at = 5 + ([0, 1, 2, 4][descriptor & 3] as number);
  const size = descriptor >> 6;
  if (size === 0) return view.getUint8(at);
  if (size === 1) return view.getUint16(at, true) + 256;
  return size === 2 ? view.getUint32(at, true) : Number(view.getBigUint64(at, true));
}
