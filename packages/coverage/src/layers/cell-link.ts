import { createDownPort, type DownPort, fillDownPort, type PortLevels } from "../link/down-port.ts";
import { createFollowed, followInterferer } from "../link/followed-interferers.ts";
import type { UpLink } from "../link/up-link.ts";
import type { LayerJob } from "./layer-job.ts";
import { findSigmaDb } from "./margins.ts";
import type { Row } from "./row.ts";

/** Scratch: the links of a cell, written for one cell after the other. One thread, one cell at a time. */
const one: DownPort[] = [createDownPort()];
const two: DownPort[] = [createDownPort(), createDownPort()];
const levels: PortLevels = {
  ...{ signalMw: 0, sigmaDb: 0, noiseMw: 0, ownSiteMw: 0, constantMw: 0, changingMw: 0 },
  ...{ noise: { meanDb: 0, variance: 0 }, followed: createFollowed() },
};
const none = new Float64Array(0);
const upLink: UpLink = {
  ...{ leastMw: 0, mostMw: 0, raise: 1, sigmaDb: 0 },
  ...{ all: { levelMw: none, mbps: none }, single: { levelMw: none, mbps: none } },
};

/**
 * The downlink of a cell by port, good until the next cell is asked for.
 * @param sigmaDb spread of the signal.
 */
export function fillDownLink(job: LayerJob, row: Row, column: number, sigmaDb: number): readonly DownPort[] {
  const ports = job.ports === 1 ? one : two;
  levels.sigmaDb = sigmaDb;
  for (let port = 0; port < ports.length; port++) {
    fillLevels(job, row, column, port);
    fillDownPort(ports[port], levels);
  }
  return ports;
}

function fillLevels(job: LayerJob, row: Row, column: number, port: number): void {
  const server = row.server[column];
  const { noiseDownMw, activity } = job.sectors[server];
  levels.signalMw = row.levelMw[port][server][column];
  levels.noiseMw = noiseDownMw;
  levels.ownSiteMw = row.ownSiteMw[port][column];
  levels.noise.meanDb = row.raisedDb[port][column];
  levels.noise.variance = row.variance[port][column];
  levels.followed.count = 0;
  levels.changingMw = activity === null ? 0 : followStrongest(job, row, column, { port, activity });
  levels.constantMw = row.otherSitesMw[port][column] + row.emittersMw[port][column] - levels.changingMw;
}

/** Follows the strongest interferers of a cell that come and go; returns the mean of all of them off the server's site, mW. */
function followStrongest(
  job: LayerJob,
  row: Row,
  column: number,
  { port, activity }: { port: number; activity: Float64Array },
): number {
  const ownSite = job.masts[job.sources[row.server[column]].mast].site;
  const reachingMw = row.reachingMw[port];
  let changingMw = 0;
  for (let source = 0; source < activity.length; source++) {
    const onShare = activity[source];
    if (onShare <= 0 || onShare >= 1 || reachingMw[source][column] === 0) continue;
    const { mast } = job.sources[source];
    const isOwnSite = job.masts[mast].site === ownSite;
    const sigmaDb = findSigmaDb(job, row, column, mast);
    if (!isOwnSite) changingMw += reachingMw[source][column];
    followInterferer(levels.followed, { onMw: reachingMw[source][column] / onShare, onShare, isOwnSite, sigmaDb });
  }
  return changingMw;
}

/** The uplink of a cell, good until the next cell is asked for: the path is the same both ways. */
export function fillUpLink({ sectors, ports }: LayerJob, row: Row, column: number, sigmaDb: number): UpLink {
  const server = row.server[column];
  const { upPerDown, up } = sectors[server];
  const firstMw = row.levelMw[0][server][column] * upPerDown;
  const lastMw = row.levelMw[ports - 1][server][column] * upPerDown;
  upLink.leastMw = Math.min(firstMw, lastMw);
  upLink.mostMw = Math.max(firstMw, lastMw);
  upLink.all = up.all;
  upLink.single = up.single;
  upLink.raise = up.raise;
  upLink.sigmaDb = Math.sqrt(sigmaDb * sigmaDb + up.variance);
  return upLink;
}
