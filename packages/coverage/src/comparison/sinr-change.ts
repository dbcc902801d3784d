import { NO_DATA } from "../layers/layer-job.ts";
import type { CoveredArea } from "./covered-cells.ts";

/** Change of a SINR over the cells that have a server both times, dB. */
export interface SinrChange {
  meanDb: number;
  p10Db: number;
  p90Db: number;
}

/**
 * Change of a layer; null where no cell counts.
 * @param isCounted cells that count; absent: all with a server both times.
 */
export function compareSinr(
  before: CoveredArea,
  after: CoveredArea,
  layer: "sinrDown" | "sinrUp",
  isCounted: (cell: number) => boolean = () => true,
): SinrChange | null {
  const [was, is] = [before.cells[layer], after.cells[layer]];
  const changes = new Float32Array(was.length);
  let count = 0;
  for (let cell = 0; cell < was.length; cell++) {
    if (was[cell] === NO_DATA || is[cell] === NO_DATA || !isCounted(cell)) continue;
    changes[count++] = (is[cell] - was[cell]) / 100;
  }
  if (count === 0) return null;
  const sorted = changes.subarray(0, count).sort();
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return { meanDb: sorted.reduce((sum, db) => sum + db, 0) / sorted.length, p10Db: at(0.1), p90Db: at(0.9) };
}
