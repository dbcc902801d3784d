/** One level of a scan. */
export interface ScanReading {
  azimuthDeg: number;
  /** Centre of the receiver's resolution bandwidth. */
  centreMhz: number;
  /** Level at the port of the scan's antenna. */
  levelDbm: number;
}

/** An antenna described by gain and width only. */
export interface ScanBeam {
  gainDbi: number;
  /** Width in azimuth between the half-power points. */
  widthDeg: number;
}

/** Levels measured at a mast by bearing and frequency. */
export interface Scan {
  /** A beam, or the name of a pattern that is given beside the scan. */
  antenna: string | ScanBeam;
  resolutionMhz: number;
  /** Noise figure of the scanner, dB, whose noise lies in every level; null or absent: the levels are free of it. */
  noiseFigureDb?: number | null;
  /** Scanned polarisation; "both": every level holds for either. */
  polarisation: 0 | 1 | "both";
  /** Statistic of the levels over the time of the scan. */
  statistic: "median" | "p90" | "peak-hold";
  /** Assumed elevation of arrival, to which the scan's antenna is tilted. */
  elevationDeg: number;
  readings: readonly ScanReading[];
}

/** Something about a scan that the planner should know. */
export interface ScanFinding {
  code: "channel_partly_scanned" | "bearings_partly_scanned" | "peak_hold_scan" | "scan_below_noise";
  detail: string;
}

/** Noise in a channel by direction. */
export interface ScanDirections {
  /** Centres of the azimuth steps, rising, and the width of each. */
  azimuthDeg: Float64Array;
  stepDeg: number;
  elevationDeg: number;
  polarisation: Scan["polarisation"];
  /** Power that an antenna of 0 dBi would receive from each azimuth step in the channel, dBm; -Infinity: none. */
  incidentDbm: Float64Array;
  findings: ScanFinding[];
}
