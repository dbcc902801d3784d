/** Simpson's rule over `panels` pairs of intervals: exact for cubics, error falls with the fourth power of the step. */
export function integrate(f: (x: number) => number, from: number, to: number, panels: number): number {
  const step = (to - from) / (2 * panels);
  let sum = f(from) + f(to);
  for (let i = 1; i < 2 * panels; i++) sum += (i % 2 === 1 ? 4 : 2) * f(from + i * step);
  return (sum * step) / 3;
}

/** The zero of a continuous function between two places where its sign differs, by halving, to rounding. */
export function zeroBetween(f: (x: number) => number, from: number, to: number): number {
  let [low, high] = [from, to];
  const startsBelow = f(low) < 0;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (f(middle) < 0 === startsBelow) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
