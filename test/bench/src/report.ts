/** One measured row of a benchmark; ids are fixed, one per row of the numbers tables. */
export interface BenchResult {
  id: string;
  value: number;
  unit: string;
  n: number;
  min: number;
  max: number;
  cells?: number;
  perCellNs?: number;
  target?: number;
  targetUnit?: string;
  pass: boolean;
  peer?: { name: string; value: number; ratio: number; ratioTarget: number };
  check?: { what: string; value: number; limit: number; pass: boolean };
}

export interface BenchSkip {
  id: string;
  reason: string;
}

export interface BenchOutput {
  results: BenchResult[];
  skipped: BenchSkip[];
}

export interface BenchContext {
  /** Folder of terrain rasters; `../shared/terrain/dem` unless --terrain says otherwise. */
  terrainDir: string;
  seed: number;
}

export type Bench = (context: BenchContext) => Promise<BenchOutput>;

/** Runs `work` `warmups` + `n` times; wall seconds of the measured runs. */
export async function measure(
  n: number,
  warmups: number,
  work: () => Promise<void> | void,
): Promise<{ median: number; min: number; max: number; n: number }> {
  const seconds: number[] = [];
  for (let run = 0; run < warmups + n; run++) {
    const start = performance.now();
    await work();
    if (run >= warmups) seconds.push((performance.now() - start) / 1000);
  }
  seconds.sort((a, b) => a - b);
  return {
    median: seconds[seconds.length >> 1] as number,
    min: seconds[0] as number,
    max: seconds.at(-1) as number,
    n,
  };
}
