import { Decompress } from "fzstd";

/** The largest window of a frame, as level 19 of the reference encoder uses it. RFC 8878, 3.1.1.1.2. */
const MAX_WINDOW_BYTES = 8 * 1024 * 1024;

/** The start of a frame. Source: RFC 8878, section 3.1.1. */
interface Frame {
  /** Memory that the frame asks for. */
  windowBytes: number;
  /** Offset of the first block. */
  blocksAt: number;
  hasChecksum: boolean;
}

/**
 * Expands Zstandard into `out` and returns the number of bytes written. `packed` holds a single frame: a further one
 * could ask for any amount of memory.
 * Throws RangeError when the frame wants too much memory or holds more than `out`, Error on damaged data.
 */
export function expandZstd(packed: Uint8Array, out: Uint8Array): number {
  const view = new DataView(packed.buffer, packed.byteOffset, packed.byteLength);
  const frame = readFrame(view);
  if (frame.windowBytes > Math.max(MAX_WINDOW_BYTES, out.length)) {
    throw new RangeError(`a window of ${frame.windowBytes} bytes is too large`);
  }
  if (findFrameEnd(view, frame) !== packed.length) throw new RangeError("bytes follow its only frame");
  let written = 0;
  const stream = new Decompress((chunk) => {
    if (written + chunk.length > out.length) throw new RangeError(`more than the ${out.length} bytes of the block`);
    out.set(chunk, written);
    written += chunk.length;
  });
  stream.push(packed, true);
  return written;
}

/** Source: RFC 8878, sections 3.1.1.1.1 to 3.1.1.1.4. */
function readFrame(view: DataView): Frame {
  if (view.getUint32(0, true) !== 0xfd2fb528) throw new Error("no Zstandard frame");
  const descriptor = view.getUint8(4);
  const isSingleSegment = (descriptor & 0x20) !== 0;
  const hasChecksum = (descriptor & 0x04) !== 0;
  const sizeAt = 5 + (isSingleSegment ? 0 : 1) + ([0, 1, 2, 4][descriptor & 3] as number);
  const sizeBytes = [isSingleSegment ? 1 : 0, 2, 4, 8][descriptor >> 6] as number;
  const windowBytes = isSingleSegment ? readContentSize(view, sizeAt, sizeBytes) : readWindowSize(view);
  return { windowBytes, blocksAt: sizeAt + sizeBytes, hasChecksum };
}

function readWindowSize(view: DataView): number {
  const base = 2 ** (10 + (view.getUint8(5) >> 3));
  return base + (base / 8) * (view.getUint8(5) & 7);
}

function readContentSize(view: DataView, offset: number, bytes: number): number {
  if (bytes === 1) return view.getUint8(offset);
  if (bytes === 2) return view.getUint16(offset, true) + 256;
  return bytes === 4 ? view.getUint32(offset, true) : Number(view.getBigUint64(offset, true));
}

/** Returns the offset behind a frame, from the sizes of its blocks. Source: RFC 8878, sections 3.1.1.2 and 3.1.1. */
function findFrameEnd(view: DataView, { blocksAt, hasChecksum }: Frame): number {
  for (let offset = blocksAt; ; ) {
    const header = view.getUint16(offset, true) + 0x10000 * view.getUint8(offset + 2);
    const isRun = ((header >> 1) & 3) === 1;
    offset += 3 + (isRun ? 1 : header >> 3);
    if ((header & 1) === 1) return offset + (hasChecksum ? 4 : 0);
  }
}
