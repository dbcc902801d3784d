/**
 * Numbers of the standard normal distribution that depend on the seed alone: a 32-bit congruential counter, its upper
 * bits folded in, through Box and Muller's transform. Good for a few thousand excitation errors, not for statistics.
 */
export function seededNormal(seed: number): () => number {
  let state = Math.imul(seed | 0, 0x2545f491) ^ 0x6c078965;
  const uniform = (): number => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) | 0;
    const folded = Math.imul(state ^ (state >>> 15), 0x45d9f3b);
    return (((folded ^ (folded >>> 16)) >>> 0) + 0.5) / 2 ** 32;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}
