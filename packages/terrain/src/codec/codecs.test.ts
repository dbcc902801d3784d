import { describe, expect, it } from "vitest";
import { expandLzw } from "./lzw.ts";
import { expandPackBits } from "./packbits.ts";
import { undoFloatingPoint, undoHorizontal } from "./predictor.ts";
import { expandZstd } from "./zstd.ts";

describe("PackBits", () => {
  it("expands the example of TIFF 6.0, section 9 (as in Apple TN1023)", () => {
    const packed = Buffer.from("FEAA0280002AFDAA0380002A22F7AA", "hex");
    const plain = Buffer.from("AAAAAA80002AAAAAAAAA80002A22AAAAAAAAAAAAAAAAAAAA", "hex");
    const out = Buffer.alloc(plain.length);
    expect(expandPackBits(packed, out)).toBe(plain.length);
    expect(out).toEqual(plain);
  });

  it("stops at the end of the block", () => {
    const out = new Uint8Array(10);
    expect(expandPackBits(Buffer.from("8101".repeat(1000), "hex"), out)).toBe(10);
    expect(expandPackBits(Buffer.from("7F0102030405060708090A0B", "hex"), out)).toBe(10);
  });

  it("tells when too little is there", () => {
    expect(expandPackBits(Buffer.from("05010203", "hex"), new Uint8Array(10))).toBe(3);
  });
});

describe("LZW", () => {
  /** Codes of equal width, from the high bit down. */
  function pack(codes: number[], width = 9): Buffer {
    const bits = codes.map((code) => code.toString(2).padStart(width, "0")).join("");
    return Buffer.from(bits.match(/.{1,8}/g)?.map((byte) => Number.parseInt(byte.padEnd(8, "0"), 2)) ?? []);
  }

  it("expands the example of TIFF 6.0, section 13", () => {
    const codes = [256, 7, 258, 8, 8, 258, 6, 6, 257];
    const out = new Uint8Array(10);
    expect(expandLzw(pack(codes), out)).toBe(9);
    expect([...out.subarray(0, 9)]).toEqual([7, 7, 7, 8, 8, 7, 7, 6, 6]);
  });

  it("stops at the end of the block, however long the strings grow", () => {
    const growing = [256, 1, ...Array.from({ length: 250 }, (_, index) => 258 + index)];
    expect(expandLzw(pack(growing), new Uint8Array(100))).toBe(100);
  });

  it("refuses a code that is not defined", () => {
    expect(() => expandLzw(pack([256, 1, 300]), new Uint8Array(100))).toThrow(RangeError);
  });

  it("tells when too little is there", () => {
    expect(expandLzw(pack([256, 1, 2]), new Uint8Array(100))).toBe(2);
  });
});

describe("Zstandard", () => {
  const MAGIC = "28B52FFD";
  /** A block of one repeated byte. RFC 8878, 3.1.1.2. */
  const repeated = (bytes: number, last: boolean) => {
    const head = Buffer.alloc(4, 7);
    head.writeUIntLE((bytes << 3) | 2 | (last ? 1 : 0), 0, 3);
    return head;
  };
  /** A single-segment frame that declares its size in 4 bytes. */
  const frame = (size: number, ...blocks: Buffer[]) => {
    const head = Buffer.alloc(5);
    head.writeUInt8(0xa0, 0);
    head.writeUInt32LE(size, 1);
    return Buffer.concat([Buffer.from(MAGIC, "hex"), head, ...blocks]);
  };

  it("expands a run", () => {
    const out = new Uint8Array(300);
    expect(expandZstd(frame(300, repeated(300, true)), out)).toBe(300);
    expect(out.every((byte) => byte === 7)).toBe(true);
  });

  it("refuses a bomb that tells its size, before memory is taken", () => {
    expect(() => expandZstd(frame(2 ** 31, repeated(300, true)), new Uint8Array(300))).toThrow(/window/);
  });

  it("refuses a bomb that lies about its size, at its first block too many", () => {
    const blocks = Array.from({ length: 4096 }, (_, index) => repeated(131072, index === 4095));
    const started = performance.now();
    expect(() => expandZstd(frame(300, ...blocks), new Uint8Array(300))).toThrow(RangeError);
    expect(performance.now() - started).toBeLessThan(1000);
  });

  it("refuses a further frame, which could ask for any memory", () => {
    const first = frame(300, repeated(300, true));
    const greedy = frame(2 ** 31, repeated(300, true));
    const skippable = Buffer.from("502A4D1800000000", "hex");
    for (const further of [greedy, first, skippable, Buffer.from([0])]) {
      expect(() => expandZstd(Buffer.concat([first, further]), new Uint8Array(600))).toThrow(/bytes follow/);
    }
    expect(expandZstd(first, new Uint8Array(600))).toBe(300);
  });

  it("refuses what is cut off", () => {
    expect(() => expandZstd(frame(300, repeated(300, false)), new Uint8Array(300))).toThrow();
    expect(() => expandZstd(Buffer.from(MAGIC, "hex"), new Uint8Array(300))).toThrow();
  });
});

describe("predictors", () => {
  it("sums along each row, wrapping", () => {
    const values = Int16Array.from([32767, 1, 1, 5, -2, -4]);
    undoHorizontal(values, 3);
    expect([...values]).toEqual([32767, -32768, -32767, 5, 3, -1]);
    const bytes = Uint8Array.from([250, 10, 1, 11, 0, 255]);
    undoHorizontal(bytes, 3);
    expect([...bytes]).toEqual([250, 4, 5, 11, 11, 10]);
    const wide = BigInt64Array.from([1n, 2n, 10n, -3n]);
    undoHorizontal(wide, 2);
    expect([...wide]).toEqual([1n, 3n, 10n, 7n]);
  });

  it("puts the bytes of floats together again", () => {
    // 1.0 is 3F800000 and -2.5 is C0200000 (IEEE 754); planes 3F C0, 80 20, 00 00, 00 00, each less the one before.
    const planes = Uint8Array.from([0x3f, 0xc0, 0x80, 0x20, 0, 0, 0, 0]);
    const stored = planes.map((byte, index) => byte - (planes[index - 1] ?? 0));
    undoFloatingPoint(stored, 2, 4);
    expect([...new Float32Array(stored.buffer)]).toEqual([1, -2.5]);
  });
});
