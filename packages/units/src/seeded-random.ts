/**
 * Returns a generator of uniform numbers in [0, 1) that depend on the seed alone, the same on every machine.
 * A Weyl counter, step 2^32 over the golden ratio, passed through the 32-bit finaliser of MurmurHash3 (A. Appleby,
 * public domain). Its period is 2^32. Any integer is a seed; only its low 32 bits count.
 */
export function createSeededRandom(seed: number): () => number {
  let counter = seed | 0;
  return () => {
    counter = (counter + 0x9e3779b9) | 0;
    let bits = counter;
    bits = Math.imul(bits ^ (bits >>> 16), 0x85ebca6b);
    bits = Math.imul(bits ^ (bits >>> 13), 0xc2b2ae35);
    return ((bits ^ (bits >>> 16)) >>> 0) / 2 ** 32;
  };
}

/** Returns a generator of standard normal numbers that depend on the seed alone, by Box and Muller's transform. */
export function createSeededNormal(seed: number): () => number {
  const uniform = createSeededRandom(seed);
  return () => {
    const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
    return radius * Math.cos(2 * Math.PI * uniform());
  };
}
