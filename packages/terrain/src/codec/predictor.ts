import { endianness } from "node:os";

/**
 * Undoes horizontal differences in place: each value is the one before it in the row plus what is stored.
 * Values are whole numbers of their own width and wrap; floats are treated by their bits.
 * Source: TIFF 6.0 (Adobe, 1992), section 14.
 */
export function undoHorizontal(values: Uint8Array | Int16Array | Int32Array | BigInt64Array, columns: number): void {
  if (values instanceof BigInt64Array) {
    for (let at = 1; at < values.length; at++) {
      if (at % columns !== 0) values[at] = (values[at] as bigint) + (values[at - 1] as bigint);
    }
    return;
  }
  for (let start = 0; start < values.length; start += columns) {
    for (let at = start + 1; at < start + columns; at++) {
      values[at] = (values[at] as number) + (values[at - 1] as number);
    }
  }
}

/**
 * Undoes differences of floating-point bytes in place: a row is stored as the highest bytes of all its values, then the
 * next bytes and so on, each byte less the one before it. Leaves values in the byte order of this machine.
 * Source: Adobe Photoshop TIFF Technical Note 3 (2005), predictor 3.
 */
export function undoFloatingPoint(bytes: Uint8Array, columns: number, bytesPerSample: number): void {
  const rowBytes = columns * bytesPerSample;
  const row = new Uint8Array(rowBytes);
  const little = endianness() === "LE";
  for (let start = 0; start < bytes.length; start += rowBytes) {
    let sum = 0;
    for (let at = 0; at < rowBytes; at++) {
      sum = (sum + (bytes[start + at] as number)) & 255;
      row[at] = sum;
    }
    for (let plane = 0; plane < bytesPerSample; plane++) {
      const place = little ? bytesPerSample - 1 - plane : plane;
      for (let column = 0; column < columns; column++) {
        bytes[start + column * bytesPerSample + place] = row[plane * columns + column] as number;
      }
    }
  }
}
