import { addBullingtonTailDb, computeKnifeEdgeLossDb } from "@fellmark/propagation";

/** Binary exponent of the least and the greatest nu squared that the table holds. */
const MIN_EXPONENT = -6;
const MAX_EXPONENT = 26;

/** The table has 2^9 = 512 entries an octave: the float32 bit pattern of nu squared, shifted right by this many bits. */
const SHIFT = 14;
const STEP_INVERSE = 1 / (1 << SHIFT);
const FIRST = ((MIN_EXPONENT + 127) << 23) >> SHIFT;
const ENTRIES = (((MAX_EXPONENT + 127) << 23) >> SHIFT) - FIRST;

const bits = new Int32Array(1);
const floats = new Float32Array(bits.buffer);

/** Pairs side by side: J and 1 - exp(-J / 6) of an entry. */
const table = new Float64Array(2 * (ENTRIES + 1));
for (let entry = 0; entry <= ENTRIES; entry++) {
  bits[0] = (FIRST + entry) << SHIFT;
  const lossDb = computeKnifeEdgeLossDb(Math.sqrt(floats[0]));
  table[2 * entry] = lossDb;
  table[2 * entry + 1] = 1 - Math.exp(-lossDb / 6);
}

/**
 * Bullington loss in dB of an edge with nu >= 0, by linear interpolation over the float32 bits of nu squared:
 * `addBullingtonTailDb` of J(nu) with the tail of the path.
 * Source: ITU-R P.1812-6 eqs (20), (21). Outside 2^-6 <= nu^2 < 2^26 the exact formula is used.
 * Accuracy: 3e-6 dB against the formula (a test).
 */
export function computeTabulatedBullingtonDb(nuSquared: number, tailDb: number): number {
  if (!(nuSquared >= 2 ** MIN_EXPONENT && nuSquared < 2 ** MAX_EXPONENT))
    return computeExactBullingtonDb(nuSquared, tailDb);
  floats[0] = nuSquared;
  const pattern = bits[0];
  const at = 2 * ((pattern >> SHIFT) - FIRST);
  const share = (pattern & ((1 << SHIFT) - 1)) * STEP_INVERSE;
  const low = table[at] + table[at + 1] * tailDb;
  const high = table[at + 2] + table[at + 3] * tailDb;
  return low + (high - low) * share;
}

/** The same by the formula. */
export function computeExactBullingtonDb(nuSquared: number, tailDb: number): number {
  return addBullingtonTailDb(computeKnifeEdgeLossDb(Math.sqrt(Math.max(0, nuSquared))), tailDb);
}
