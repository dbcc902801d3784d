/** Returns the number of values that are NaN. */
export function countNotKnown(values: Float32Array | Float64Array): number {
  let count = 0;
  for (let at = 0; at < values.length; at++) if (Number.isNaN(values[at])) count++;
  return count;
}
