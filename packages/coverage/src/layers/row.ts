import type { LayerJob } from "./layer-job.ts";
import { createRowPaths, type RowPaths } from "./row-paths.ts";

/**
 * One row of cells while it is being computed; it can be kept for the next time. Levels are per chain,
 * in mW, by port. Shared memory, one value a column.
 */
export interface Row {
  /** 1 where the cell lies in the service disc of some mast. */
  inArea: Uint8Array;
  /** Clutter on each cell: see clutterCode; empty without a raster of clutter. */
  clutter: Uint16Array;
  paths: RowPaths[];
  /** By port and source: level with the CPE aimed at it; 0 out of reach. */
  levelMw: Float32Array[][];
  /** Number of the strongest sector that may serve, and of the next; NO_SECTOR where there is none. */
  server: Int16Array;
  secondServer: Int16Array;
  /** Levels of both, over all ports. */
  bestMw: Float32Array;
  nextMw: Float32Array;
  /** Mast that the CPE is aimed at, or NO_SECTOR; and whether it has just been turned there. */
  aimedAt: Int16Array;
  turned: Uint8Array;
  /** Axis of the CPE aimed at its server: the unit vector of its azimuth, sine and cosine of its elevation. */
  aimEast: Float32Array;
  aimNorth: Float32Array;
  aimUp: Float32Array;
  aimLevel: Float32Array;
  /**
   * By port and mast: gain of that CPE toward the mast over its gain at its aim; the pointing loss does not hold there.
   */
  cpeGain: Float32Array[][];
  /**
   * By port: mean interference at that CPE, from the server's own site, from all other sites, and from external
   * emitters.
   */
  ownSiteMw: Float32Array[];
  otherSitesMw: Float32Array[];
  emittersMw: Float32Array[];
  /** By port: noise and the interference of other masts that is always on with the errors of their paths, dBm and dB^2: see UncertainLevel. */
  raisedDb: Float32Array[];
  variance: Float32Array[];
  /** By port and source: what of its level counts there, mean over time; none where all sources are always on. */
  reachingMw: Float32Array[][];
}

export const NO_SECTOR = -1;

export function createRow(job: LayerJob): Row {
  const { width } = job.window;
  const floats = () => new Float32Array(new SharedArrayBuffer(4 * width));
  const numbers = () => new Int16Array(new SharedArrayBuffer(2 * width));
  const perPort = <T>(make: () => T) => Array.from({ length: job.ports }, make);
  const perSource = () => job.sources.map(floats);
  const isIntermittent = job.sectors.some(({ activity }) => activity !== null);
  const bytes = () => new Uint8Array(new SharedArrayBuffer(width));
  return {
    inArea: bytes(),
    clutter: new Uint16Array(new SharedArrayBuffer(job.clutter === null ? 0 : 2 * width)),
    paths: job.masts.map(() => createRowPaths(width)),
    levelMw: perPort(perSource),
    server: numbers(),
    secondServer: numbers(),
    bestMw: floats(),
    nextMw: floats(),
    aimedAt: numbers(),
    turned: bytes(),
    aimEast: floats(),
    aimNorth: floats(),
    aimUp: floats(),
    aimLevel: floats(),
    cpeGain: perPort(() => job.masts.map(floats)),
    ownSiteMw: perPort(floats),
    otherSitesMw: perPort(floats),
    emittersMw: perPort(floats),
    raisedDb: perPort(floats),
    variance: perPort(floats),
    reachingMw: perPort(isIntermittent ? perSource : () => []),
  };
}
