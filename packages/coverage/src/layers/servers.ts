import type { LayerJob } from "./layer-job.ts";
import { NO_SECTOR, type Row } from "./row.ts";

/** The strongest sector of each cell that may serve it, and the next; all ports count. */
export function chooseServers(job: LayerJob, row: Row): void {
  row.server.fill(NO_SECTOR);
  row.secondServer.fill(NO_SECTOR);
  row.bestMw.fill(0);
  row.nextMw.fill(0);
  for (let sector = 0; sector < job.sectors.length; sector++) offerSector(job, row, sector);
}

function offerSector(job: LayerJob, row: Row, sector: number): void {
  const { server, secondServer, bestMw, nextMw } = row;
  const { mayServe } = row.paths[job.sources[sector].mast];
  const first = row.levelMw[0][sector];
  const last = row.levelMw[job.ports - 1][sector];
  for (let column = 0; column < server.length; column++) {
    const level = first[column] + last[column];
    if (level <= nextMw[column] || mayServe[column] === 0) continue;
    if (level > bestMw[column]) {
      nextMw[column] = bestMw[column];
      secondServer[column] = server[column];
      bestMw[column] = level;
      server[column] = sector;
    } else {
      nextMw[column] = level;
      secondServer[column] = sector;
    }
  }
}

/** The same after the levels of one sector have changed: only where it was or becomes one of the two. */
export function moveServers(job: LayerJob, row: Row, sector: number): void {
  const { server, secondServer, nextMw } = row;
  const { mayServe } = row.paths[job.sources[sector].mast];
  const first = row.levelMw[0][sector];
  const last = row.levelMw[job.ports - 1][sector];
  for (let column = 0; column < server.length; column++) {
    if (mayServe[column] === 0) continue;
    const isConcerned = server[column] === sector || secondServer[column] === sector;
    if (isConcerned || first[column] + last[column] > nextMw[column]) chooseCellServers(job, row, column);
  }
}

function chooseCellServers(job: LayerJob, row: Row, column: number): void {
  let [server, secondServer, bestMw, nextMw] = [NO_SECTOR, NO_SECTOR, 0, 0];
  for (let sector = 0; sector < job.sectors.length; sector++) {
    const level = row.levelMw[0][sector][column] + row.levelMw[job.ports - 1][sector][column];
    if (level <= nextMw || row.paths[job.sources[sector].mast].mayServe[column] === 0) continue;
    if (level > bestMw) {
      nextMw = bestMw;
      secondServer = server;
      bestMw = level;
      server = sector;
    } else {
      nextMw = level;
      secondServer = sector;
    }
  }
  row.server[column] = server;
  row.secondServer[column] = secondServer;
  row.bestMw[column] = bestMw;
  row.nextMw[column] = nextMw;
}
