const CLEAR = 256;
const END = 257;
const MAX_CODES = 4096;

/**
 * Expands TIFF LZW into `out` and returns the number of bytes written; never writes past its end.
 * Source: TIFF 6.0 (Adobe, 1992), section 13: codes from the high bit down, 9 to 12 bits, widened one code early.
 * Throws RangeError on a code that the table does not hold.
 */
export function expandLzw(packed: Uint8Array, out: Uint8Array): number {
  /** Each string is a run of the output so far: where it starts and how long it is. */
  const startOf = new Uint32Array(MAX_CODES + 1);
  const lengthOf = new Uint32Array(MAX_CODES + 1);
  let next = END + 1;
  let width = 9;
  let previous = -1;
  let previousStart = 0;
  let written = 0;
  let bits = 0;
  let held = 0;
  for (let at = 0; written < out.length; ) {
    while (held < width) {
      if (at >= packed.length) return written;
      bits = ((bits << 8) | (packed[at++] as number)) & 0xffffff;
      held += 8;
    }
    const code = (bits >>> (held - width)) & ((1 << width) - 1);
    held -= width;
    if (code === END) return written;
    if (code === CLEAR) {
      next = END + 1;
      width = 9;
      previous = -1;
      continue;
    }
    const start = written;
    if (previous >= 0 && next < MAX_CODES) {
      startOf[next] = previousStart;
      lengthOf[next] = (previous < CLEAR ? 1 : (lengthOf[previous] as number)) + 1;
      next++;
    }
    if (code < CLEAR) out[written++] = code;
    else if (code < next) written = copyRun(out, startOf[code] as number, lengthOf[code] as number, written);
    else throw new RangeError(`LZW code ${code} before it was defined`);
    previous = code;
    previousStart = start;
    if (next >= (1 << width) - 1 && width < 12) width++;
  }
  return written;
}

/** Copies byte by byte, as a run may reach into itself. */
function copyRun(out: Uint8Array, start: number, length: number, written: number): number {
  const end = Math.min(written + length, out.length);
  for (let from = start, to = written; to < end; ) out[to++] = out[from++] as number;
  return end;
}
