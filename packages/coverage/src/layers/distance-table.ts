/** Distance between two entries, km. */
const STEP_KM = 0.05;

/** A function of distance, tabulated: a value every 50 m from 0 on. */
export type DistanceTable = Float64Array;

export function tabulate(toKm: number, valueAt: (distanceM: number) => number): DistanceTable {
  const steps = Math.ceil(toKm / STEP_KM) + 2;
  return Float64Array.from({ length: steps }, (_, step) => valueAt(step * STEP_KM * 1000));
}

/** Between two entries by a straight line; beyond the last as there. */
export function readAtDistance(table: DistanceTable, distanceKm: number): number {
  const place = Math.min(distanceKm / STEP_KM, table.length - 1.001);
  const step = Math.floor(place);
  return table[step] + (table[step + 1] - table[step]) * (place - step);
}
