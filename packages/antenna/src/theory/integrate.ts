/** Integrates by Simpson's rule over `panels` pairs of intervals: exact for cubics, error of the order of step^4. */
export function integrate(f: (x: number) => number, from: number, to: number, panels: number): number {
  const step = (to - from) / (2 * panels);
  let sum = f(from) + f(to);
  for (let i = 1; i < 2 * panels; i++) sum += (i % 2 === 1 ? 4 : 2) * f(from + i * step);
  return (sum * step) / 3;
}
