import { countReached, selectStreams } from "../link/link-physics.ts";
import type { LayerJob } from "./layer-job.ts";
import type { Row } from "./row.ts";

/**
 * Net uplink rate of a cell, Mbit/s, of whose signal a share is left. The path is the same both ways, so that the levels
 * at the sector's ports follow from those at the CPE's.
 */
export function computeUpRateMbps({ sectors, ports }: LayerJob, row: Row, column: number, keptShare: number): number {
  const server = row.server[column];
  const { upPerDown, upLevelMw, upMbps, singleUpLevelMw, singleUpMbps } = sectors[server];
  const first = row.levelMw[0][server][column] * upPerDown * keptShare;
  if (ports === 1) return upMbps[countReached(upLevelMw, first)];
  const last = row.levelMw[1][server][column] * upPerDown * keptShare;
  const all = upMbps[countReached(upLevelMw, Math.min(first, last))];
  return selectStreams(all, singleUpMbps[countReached(singleUpLevelMw, Math.max(first, last))]);
}
