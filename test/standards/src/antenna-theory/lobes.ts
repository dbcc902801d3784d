/** Main lobe and first side lobe of a symmetric pattern, in the unit of its argument. */
export interface Lobes {
  /** Place at which the level has fallen to half the power: half the half-power width. */
  halfPowerAt: number;
  /** NaN where there is none. */
  firstNullAt: number;
  /** Relative to the peak. NaN where there is none. */
  firstSideLobeDb: number;
}

/**
 * Returns the lobes of an amplitude that is greatest at 0, found by walking outward.
 * A null is a change of sign or, for an amplitude that only touches 0, a dip of more than 60 dB.
 * @param step Well under the width of a lobe.
 */
export function measureLobes(amplitude: (x: number) => number, step: number, greatest: number): Lobes {
  const peak = amplitude(0);
  const level = (x: number): number => Math.abs(amplitude(x)) / peak;
  let x = 0;
  while (x < greatest && level(x + step) > Math.SQRT1_2) x += step;
  const halfPowerAt = findZero((at) => level(at) - Math.SQRT1_2, x, Math.min(x + step, greatest));
  const firstNullAt = findFirstNull(level, x, step, greatest);
  const sideLobeAt = Number.isNaN(firstNullAt) ? Number.NaN : findFirstSideLobe(level, firstNullAt, step, greatest);
  return { halfPowerAt, firstNullAt, firstSideLobeDb: 20 * Math.log10(level(sideLobeAt)) };
}

function findFirstNull(level: (x: number) => number, from: number, step: number, greatest: number): number {
  let x = from;
  while (x + step <= greatest && level(x + step) < level(x)) x += step;
  const at = findLeast(level, Math.max(x - step, 0), Math.min(x + step, greatest));
  return level(at) < 1e-3 ? at : Number.NaN;
}

function findFirstSideLobe(level: (x: number) => number, from: number, step: number, greatest: number): number {
  let x = from;
  while (x + step <= greatest && level(x + step) > level(x)) x += step;
  if (x === from) return Number.NaN;
  return findLeast((at) => -level(at), x - step, Math.min(x + step, greatest));
}

/** Place of the least value, by golden section search. */
function findLeast(f: (x: number) => number, from: number, to: number): number {
  const share = (Math.sqrt(5) - 1) / 2;
  let [low, high] = [from, to];
  for (let i = 0; i < 70; i++) {
    const [left, right] = [high - share * (high - low), low + share * (high - low)];
    if (f(left) < f(right)) high = right;
    else low = left;
  }
  return (low + high) / 2;
}

/** The zero of a continuous function between two places where its sign differs, by halving, to rounding. */
export function findZero(f: (x: number) => number, from: number, to: number): number {
  let [low, high] = [from, to];
  const startsBelow = f(low) < 0;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (f(middle) < 0 === startsBelow) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
