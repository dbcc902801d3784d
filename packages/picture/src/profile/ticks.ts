/** Round numbers from `from` to `to`, a step of 1, 2 or 5 times a power of ten apart: as many as `most` allows. */
export function listRoundTicks(from: number, to: number, most: number): number[] {
  const least = (to - from) / most;
  const power = 10 ** Math.floor(Math.log10(least));
  const step = power * ([1, 2, 5].find((factor) => factor * power >= least) ?? 10);
  const first = Math.ceil(from / step);
  const count = Math.floor(to / step) - first + 1;
  return Array.from({ length: count }, (_, index) => Number(((first + index) * step).toPrecision(12)) + 0);
}
