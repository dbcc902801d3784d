import { toAntennaFrame } from "@fellmark/antenna";
import { tabulatedGainDbi } from "./gain-table.ts";
import type { LayerJob } from "./layer-job.ts";
import { NEPERS_PER_DB, NO_SECTOR, type Row } from "./row.ts";
import type { RowPaths } from "./row-paths.ts";

/**
 * Interference per chain at the kit while it is aimed at its server, mW: from the sectors of the server's own site
 * (same direction, same gain), and from those of all other sites (gain off the aim). A path that is not known counts
 * as free space, the worst it can be.
 */
export function addInterference(job: LayerJob, row: Row): void {
  row.sameMastMw.fill(0);
  row.otherMastsMw.fill(0);
  const wanted = job.sectors;
  for (let other = 0; other < wanted.length; other++) {
    if (wanted.every(({ coupling }) => coupling[other] === 0)) continue;
    const levelMw = row.levelMw[other];
    const { mast, site } = wanted[other];
    for (let column = 0; column < levelMw.length; column++) {
      const server = row.server[column];
      if (server === NO_SECTOR || levelMw[column] === 0) continue;
      const { coupling, mast: aim, site: aimSite } = wanted[server];
      if (coupling[other] === 0) continue;
      const reachingMw = levelMw[column] * coupling[other];
      if (aimSite === site) row.sameMastMw[column] += reachingMw;
      else row.otherMastsMw[column] += reachingMw * discrimination(job, row.paths[aim], row.paths[mast], column);
    }
  }
}

/**
 * Gain of the kit toward another mast relative to its gain toward its own, linear: its axis lies along the ray to its
 * own mast, without roll. The pointing loss, which the levels carry, does not hold off the aim.
 */
function discrimination(job: LayerJob, own: RowPaths, other: RowPaths, column: number): number {
  if (job.kitTable === null) return 1;
  const aim = { azimuthDeg: own.azimuthDeg[column], downtiltDeg: -own.arrivalDeg[column] };
  const seen = toAntennaFrame(other.azimuthDeg[column], other.arrivalDeg[column], aim);
  const azimuthDeg = seen.azimuthDeg < 0 ? seen.azimuthDeg + 360 : seen.azimuthDeg;
  const gainDbi = tabulatedGainDbi(job.kitTable, azimuthDeg, seen.elevationDeg);
  return Math.exp((gainDbi - job.kitPeakGainDbi) * NEPERS_PER_DB) * job.pointingLinear;
}
