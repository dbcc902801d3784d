import type { LatticeWindow, RowFrame } from "@fellmark/geodesy";
import type { LossRasters } from "@fellmark/sweep";
import type { StreamRates } from "../link/down-link.ts";
import type { LevelSteps } from "../link/up-link.ts";
import type { DistanceTable } from "./distance-table.ts";
import type { FadeTable } from "./fade-table.ts";
import type { GainTable } from "./gain-table.ts";

/** Loss rasters of a mast on one lattice, and where a cell of the area's window lies on it. */
export interface LossLayer {
  rasters: LossRasters;
  window: LatticeWindow;
  /** A cell here is 2^shift cells of the area's window wide. */
  shift: number;
  /** Added to a cell of the area's window before it is shifted. */
  columnOffset: number;
  rowOffset: number;
}

/** One mast (place, height and frequency) as the layers see it. */
export interface MastLayer {
  /**
   * Number of its site, the same for all masts there: they lie in one direction from everywhere. Emitters have none.
   */
  site: number;
  /** Transmitters on it. */
  sources: number[];
  /** True where it belongs to somebody else. */
  isEmitter: boolean;
  /** Range and bearing to the cells of the area's window. */
  rows: RowFrame;
  gasDbPerKm: number;
  /** Loss of the CPE among the clutter of its cell, linear, by clutterCode; null without a raster of clutter. */
  clutterGain: Float64Array | null;
  /** Loss of the CPE by the statistics of built-up country, dB; null where they do not count. */
  statisticalDb: DistanceTable | null;
  /** Calibration of paths of each class by own links, dB to be added to the loss; null: none. */
  calibrationDb: DistanceTable[] | null;
  /** Its antennas above sea level, m. */
  antennaAmslM: number;
  /** Range in which its sectors may serve, km. */
  serviceKm: number;
  /** Close around the mast, on the area's own lattice: where its sectors may serve. */
  near: LossLayer | null;
  /** As far as it is heard, on a coarser one. */
  far: LossLayer | null;
}

/** A transmitter: the sectors in their order, then the emitters. */
export interface SourceLayer {
  mast: number;
  /** Field strength by port of the receiver; one entry where all ports are alike. */
  tables: GainTable[];
  /** Rows of the rotation from east, north and up into the antenna's frame: ahead, right, up. */
  frame: Float64Array;
  /** Gain, linear, that obstacles scatter in every direction, by class of the path. */
  fill: Float64Array;
  /** Level per chain at a CPE that is aimed at it, at 1 km of free space and gain 1, mW. */
  baseMw: number;
}

/** A sector as a server; levels per chain, at the CPE or sector input. */
export interface SectorLayer {
  /** Free-space loss at 1 km, dB. */
  freeSpaceDb: number;
  /** Uplink level over downlink level: the path is the same both ways. */
  upMinusDownDb: number;
  upPerDown: number;
  noiseDownMw: number;
  noiseDownDbm: number;
  /** Mean noise and interference at the sector's worse port. */
  noiseUpDbm: number;
  /** True where clutter that is the same everywhere costs anything at an end of the sector's links. */
  isEndLossy: boolean;
  /** Margin against fading. */
  fade: FadeTable;
  /** For each source: share of the time that it is on; null where all are always on. */
  activity: Float64Array | null;
  down: StreamRates;
  /** Steps of the uplink's mean rate; and what the errors of its interference add: see UpLink, dB^2. */
  up: { all: LevelSteps; single: LevelSteps; raise: number; variance: number };
  /** True where one stream is all that both ends can do. */
  isSingleStream: boolean;
}

/** Everything that the layers after the loss need; plain data over shared memory, sent to the threads as it is. */
export interface LayerJob {
  window: LatticeWindow;
  masts: MastLayer[];
  sources: SourceLayer[];
  sectors: SectorLayer[];
  /** Site of each sector. */
  sectorSite: Int16Array;
  /** Mean share of a source's level that counts in a sector's channel: [sector * sources + source]; 0 for none. */
  coupling: Float64Array;
  /**
   * The CPE's own pattern by port (none where all masts stand on one site, on its axis), with the gain that obstacles
   * scatter, by class; both over its peak.
   */
  cpeTables: GainTable[];
  cpeFill: Float64Array;
  /** Over the gain toward the aim, which carries the pointing loss: 1 / (peak gain * pointing loss), linear. */
  cpeScale: number;
  /** 1 for each cell of the window that may count as area, 0 for the others; null: all may. */
  areaMask: Uint8Array | null;
  /** Clutter on every cell of the window: see clutterCode; null: the same everywhere, or not known. */
  clutter: Uint16Array | null;
  /** Standard deviation of the error for clear, grazing and blocked, dB; then the same where clutter is not known. */
  sigmaDb: Float64Array;
  /** Number of them that are kept as a margin. */
  confidenceFactor: number;
  /** Speeds of the plans, best first, Mbit/s. */
  planDownMbps: Float64Array;
  planUpMbps: Float64Array;
  /** Number of ports: 1 where both are alike. */
  ports: 1 | 2;
  wantRasters: boolean;
}

/** Interference at the CPE by where it comes from. */
export const CAUSES = ["ownSite", "otherSites", "emitters"] as const;
export type Cause = (typeof CAUSES)[number];

/** Rasters of a strip of rows; shared memory, row-major over the strip. */
export interface StripRasters {
  /** 255 outside, 254 not known, 0 no service, k the k-th plan. */
  tier: Uint8Array;
  /** Number of the serving sector from 1, or 0; the next best that could serve. */
  server: Uint8Array;
  secondServer: Uint8Array;
  /** 1 where a plan holds down but no plan holds both ways. */
  upOnlyFails: Uint8Array;
  /** Basic transmission loss to the server, 0.01 dB; NO_DATA where not known. */
  loss: Int16Array;
  signalDown: Int16Array;
  signalUp: Int16Array;
  sinrDown: Int16Array;
  sinrUp: Int16Array;
  /** Mean interference at the CPE aimed at its server, 0.01 dBm; NO_DATA where there is none. */
  ownSite: Int16Array;
  otherSites: Int16Array;
  emitters: Int16Array;
  /** 0.1 Mbit/s; NO_RATE where not known. */
  rateDown: Uint16Array;
  rateUp: Uint16Array;
  /** That the cheapest plan holds both ways, 0.01 %; NO_RATE where not known. */
  probability: Uint16Array;
}

export const NO_DATA = -32_768;
export const NO_RATE = 65_535;

/** Rasters for a strip of `rows` rows; the float layers are empty unless wanted. */
export function createStripRasters(width: number, rows: number, wantRasters: boolean): StripRasters {
  const cells = width * rows;
  const bytes = () => new Uint8Array(new SharedArrayBuffer(cells));
  const levels = () => new Int16Array(new SharedArrayBuffer(wantRasters ? cells * 2 : 0));
  const speeds = () => new Uint16Array(new SharedArrayBuffer(wantRasters ? cells * 2 : 0));
  return {
    tier: bytes(),
    server: bytes(),
    secondServer: bytes(),
    upOnlyFails: bytes(),
    loss: levels(),
    signalDown: levels(),
    signalUp: levels(),
    sinrDown: levels(),
    sinrUp: levels(),
    ownSite: levels(),
    otherSites: levels(),
    emitters: levels(),
    rateDown: speeds(),
    rateUp: speeds(),
    probability: speeds(),
  };
}
