import type { LatticeWindow, RowFrame } from "@fellmark/geodesy";
import type { LossRasters } from "../sweep/sweep-frame.ts";
import type { GainTable } from "./gain-table.ts";

/** One mast (place and height) as the layers see it: its loss rasters on its own window. */
export interface MastLayer {
  rasters: LossRasters;
  window: LatticeWindow;
  rows: RowFrame;
  /** Offset from a cell of the area's window to the same cell of this mast's window. */
  columnOffset: number;
  rowOffset: number;
}

/** One sector as the layers see it; levels per chain, at the kit or sector input. */
export interface SectorLayer {
  mast: number;
  /** Number of its site: sectors of one site lie in one direction from everywhere. */
  site: number;
  table: GainTable;
  /** Everything but antenna gain, distance, excess loss and gas; the frequency term of free space is in it. dBm. */
  downBaseDbm: number;
  /** Free-space loss at 1 km, dB. */
  freeSpaceDb: number;
  /** Uplink level over downlink level: the path is the same both ways. */
  upMinusDownDb: number;
  upPerDown: number;
  noiseDownMw: number;
  noiseUpMw: number;
  noiseUpDbm: number;
  gasDbPerKm: number;
  /** Multiplies 1 / d(km)^3 to the linear fade margin; see multipathFadeMarginDb. */
  fadeFactor: number;
  /** For each other sector: share of its power that counts in this sector's channel (coupling times load); 0: none. */
  coupling: Float64Array;
  /** Least SINR of each rate, linear, rising. */
  rateSinr: Float64Array;
  downMbps: Float64Array;
  upMbps: Float64Array;
  /** Class of each pair of rates: [down * (rates + 1) + up], where 0 is no rate; plan number from 1, or 0. */
  tierOf: Uint8Array;
  /** The same asking for the plan's down speed only. */
  tierOfDown: Uint8Array;
}

/** Everything that the layers after the loss need; plain data over shared memory, sent to the threads as it is. */
export interface LayerJob {
  window: LatticeWindow;
  radiusKm: number;
  masts: MastLayer[];
  sectors: SectorLayer[];
  /** The kit's own pattern; its axis at azimuth 0, elevation 0. Used against other masts only. */
  kitTable: GainTable | null;
  kitPeakGainDbi: number;
  /** Undoes the pointing loss, which the levels carry, for directions off the aim. */
  pointingLinear: number;
  /** 10^(-z sigma / 10) for clear, grazing and blocked. */
  confidenceLinear: Float64Array;
  wantRasters: boolean;
}

/** Rasters of a strip of rows; shared memory, row-major over the strip. */
export interface StripRasters {
  /** 255 outside, 254 not known, 0 no service, k the k-th plan. */
  tier: Uint8Array;
  /** Number of the serving sector from 1, or 0. */
  server: Uint8Array;
  /** 1 where a plan holds down but no plan holds both ways. */
  upOnlyFails: Uint8Array;
  /** Basic transmission loss to the server, 0.01 dB; NO_DATA where not known. */
  loss: Int16Array;
  signalDown: Int16Array;
  signalUp: Int16Array;
  sinrDown: Int16Array;
  sinrUp: Int16Array;
  /** 0.1 Mbit/s; NO_RATE where not known. */
  rateDown: Uint16Array;
  rateUp: Uint16Array;
}

export const NO_DATA = -32_768;
export const NO_RATE = 65_535;

/** Rasters for a strip of `rows` rows; the float layers are empty unless wanted. */
export function emptyStripRasters(width: number, rows: number, wantRasters: boolean): StripRasters {
  const cells = width * rows;
  const bytes = () => new Uint8Array(new SharedArrayBuffer(cells));
  const levels = () => new Int16Array(new SharedArrayBuffer(wantRasters ? cells * 2 : 0));
  const speeds = () => new Uint16Array(new SharedArrayBuffer(wantRasters ? cells * 2 : 0));
  return {
    tier: bytes(),
    server: bytes(),
    upOnlyFails: bytes(),
    loss: levels(),
    signalDown: levels(),
    signalUp: levels(),
    sinrDown: levels(),
    sinrUp: levels(),
    rateDown: speeds(),
    rateUp: speeds(),
  };
}
