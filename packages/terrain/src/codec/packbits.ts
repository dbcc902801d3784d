/**
 * Expands PackBits into `out` and returns the number of bytes written; never writes past its end.
 * Source: TIFF 6.0 (Adobe, 1992), section 9.
 */
export function expandPackBits(packed: Uint8Array, out: Uint8Array): number {
  let written = 0;
  for (let at = 0; at < packed.length && written < out.length; ) {
    const head = packed[at++] as number;
    if (head < 128) {
      const run = packed.subarray(at, Math.min(at + head + 1, at + out.length - written));
      out.set(run, written);
      at += head + 1;
      written += run.length;
    } else if (head > 128 && at < packed.length) {
      const end = Math.min(written + 257 - head, out.length);
      out.fill(packed[at++] as number, written, end);
      written = end;
    }
  }
  return written;
}
