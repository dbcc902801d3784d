import { NEPERS_PER_DB } from "@fellmark/units";
import { addUncertainLevel, LEAST_FOLLOWED_SHARE } from "../link/interference-spread.ts";
import { computeDiscrimination } from "../link/link-physics.ts";
import { readFieldToward } from "./gain-table.ts";
import type { LayerJob } from "./layer-job.ts";
import { findSigmaDb } from "./margins.ts";
import { NO_SECTOR, type Row } from "./row.ts";

/**
 * Mean interference per chain at the CPE while it is aimed at its server, mW: from the server's own site (same
 * direction, same gain), from all other sites and from external emitters (gain off the aim). A path that is not known counts
 * as free space, the worst it can be.
 */
export function addInterference(job: LayerJob, row: Row, port: number): void {
  row.ownSiteMw[port].fill(0);
  row.otherSitesMw[port].fill(0);
  row.emittersMw[port].fill(0);
  row.variance[port].fill(0);
  for (let column = 0; column < row.server.length; column++) {
    row.raisedDb[port][column] = row.server[column] === NO_SECTOR ? 0 : job.sectors[row.server[column]].noiseDownDbm;
  }
  for (let mast = 0; mast < job.masts.length; mast++) addMast(job, row, port, mast);
}

/** Adds what the transmitters of one mast bring. */
function addMast(job: LayerJob, row: Row, port: number, mast: number): void {
  const { site, sources, isEmitter } = job.masts[mast];
  const { coupling, sectorSite } = job;
  const stride = job.sources.length;
  const { server } = row;
  const gain = row.cpeGain[port][mast];
  const levels = sources.map((source) => row.levelMw[port][source]);
  const own = row.ownSiteMw[port];
  const others = isEmitter ? row.emittersMw[port] : row.otherSitesMw[port];
  const reaching = row.reachingMw[port];
  for (let column = 0; column < server.length; column++) {
    const serving = server[column];
    if (serving === NO_SECTOR) continue;
    const { activity, noiseDownMw } = job.sectors[serving];
    let sumMw = 0;
    let constantMw = 0;
    for (let k = 0; k < levels.length; k++) {
      const meanMw = levels[k][column] * coupling[serving * stride + sources[k]];
      sumMw += meanMw;
      if (activity === null || activity[sources[k]] === 1) constantMw += meanMw;
    }
    if (sectorSite[serving] === site) {
      own[column] += sumMw;
    } else {
      others[column] += sumMw * gain[column];
      const levelMw = constantMw * gain[column];
      if (levelMw > LEAST_FOLLOWED_SHARE * noiseDownMw) {
        spreadNoise(row, port, column, { levelMw, sigmaDb: findSigmaDb(job, row, column, mast) });
      }
    }
    for (let k = 0; k < reaching.length && k < levels.length; k++) {
      reaching[sources[k]][column] = levels[k][column] * coupling[serving * stride + sources[k]] * gain[column];
    }
  }
}

/** Scratch of spreadNoise. */
const spread = { meanDb: 0, variance: 0 };

/** Adds a level with the error of its path to noise and interference. */
function spreadNoise(
  row: Row,
  port: number,
  column: number,
  { levelMw, sigmaDb }: { levelMw: number; sigmaDb: number },
): void {
  spread.meanDb = row.raisedDb[port][column];
  spread.variance = row.variance[port][column];
  addUncertainLevel(spread, Math.log(levelMw) / NEPERS_PER_DB, sigmaDb);
  row.raisedDb[port][column] = spread.meanDb;
  row.variance[port][column] = spread.variance;
}

/**
 * Turns the CPE of every cell to its server (its axis lies along the ray to the server's mast, without roll) and takes
 * its gain toward every mast. A CPE that is aimed at that mast already stays as it is.
 */
export function aimCpes(job: LayerJob, row: Row): void {
  const { server, aimedAt, turned, aimEast, aimNorth, aimUp, aimLevel } = row;
  for (let column = 0; column < server.length; column++) {
    const mast = server[column] === NO_SECTOR ? NO_SECTOR : job.sources[server[column]].mast;
    turned[column] = mast === aimedAt[column] ? 0 : 1;
    aimedAt[column] = mast;
    if (turned[column] === 0 || mast === NO_SECTOR) continue;
    const { backEast, backNorth, backUp } = row.paths[mast];
    const up = backUp[column];
    const level = Math.sqrt(1 - up * up);
    aimUp[column] = up;
    aimLevel[column] = level;
    aimEast[column] = backEast[column] / level;
    aimNorth[column] = backNorth[column] / level;
  }
  for (let port = 0; port < job.ports; port++) {
    for (let mast = 0; mast < job.masts.length; mast++) takeGains(job, row, port, mast);
  }
}

/** Gain of every turned CPE toward a mast over its gain at its aim; 1 for masts of the server's own site. */
function takeGains(job: LayerJob, row: Row, port: number, mast: number): void {
  const { server, turned, aimEast, aimNorth, aimUp, aimLevel } = row;
  const { cellClass, backEast, backNorth, backUp } = row.paths[mast];
  const { sectorSite, cpeScale, cpeFill } = job;
  const { site } = job.masts[mast];
  const cpe = job.cpeTables[port];
  const gain = row.cpeGain[port][mast];
  for (let column = 0; column < server.length; column++) {
    if (turned[column] === 0 || server[column] === NO_SECTOR) continue;
    if (sectorSite[server[column]] === site) {
      gain[column] = 1;
      continue;
    }
    const along = backEast[column] * aimEast[column] + backNorth[column] * aimNorth[column];
    const right = backEast[column] * aimNorth[column] - backNorth[column] * aimEast[column];
    const ahead = along * aimLevel[column] + backUp[column] * aimUp[column];
    const field = readFieldToward(cpe, ahead, right, backUp[column] * aimLevel[column] - along * aimUp[column]);
    gain[column] = computeDiscrimination(field * field, cpeFill[cellClass[column]], cpeScale);
  }
}

/**
 * Gain of the CPE, aimed along the ray to the mast `own`, toward the mast `other`, over its gain at its aim. The pointing
 * loss, which the levels carry, does not hold off the aim.
 */
export function findDiscrimination(job: LayerJob, row: Row, own: number, other: number, column: number): number {
  const aim = row.paths[own];
  const to = row.paths[other];
  const up = aim.backUp[column];
  const level = Math.sqrt(1 - up * up);
  const [east, north] = [aim.backEast[column] / level, aim.backNorth[column] / level];
  const along = to.backEast[column] * east + to.backNorth[column] * north;
  const right = to.backEast[column] * north - to.backNorth[column] * east;
  const toUp = to.backUp[column];
  const field = readFieldToward(job.cpeTables[0], along * level + toUp * up, right, toUp * level - along * up);
  return computeDiscrimination(field * field, job.cpeFill[to.cellClass[column]], job.cpeScale);
}
