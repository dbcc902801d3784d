export interface ErrorStatistics {
  n: number;
  meanDb: number;
  /** Deviation about the mean, of the n errors themselves: meanDb^2 + stdDb^2 = rmseDb^2. */
  stdDb: number;
  rmseDb: number;
  /** Size that 90 % of the errors stay under, interpolated between ranks. */
  p90AbsDb: number;
}

/** Statistics of one or more errors, predicted less measured, dB. */
export function errorStatistics(errorsDb: readonly number[]): ErrorStatistics {
  const n = errorsDb.length;
  const meanDb = errorsDb.reduce((sum, error) => sum + error, 0) / n;
  const meanSquare = errorsDb.reduce((sum, error) => sum + error * error, 0) / n;
  const stdDb = Math.sqrt(Math.max(meanSquare - meanDb * meanDb, 0));
  return { n, meanDb, stdDb, rmseDb: Math.sqrt(meanSquare), p90AbsDb: quantile(errorsDb.map(Math.abs), 0.9) };
}

function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  const rank = share * (sorted.length - 1);
  const low = sorted[Math.floor(rank)];
  return low + (sorted[Math.ceil(rank)] - low) * (rank - Math.floor(rank));
}
