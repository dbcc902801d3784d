/** One level of a scan. */
export interface ScanReading {
  azimuthDeg: number;
  /** Centre of the receiver's resolution bandwidth. */
  centreMhz: number;
  /** At the port of the scan's antenna. */
  levelDbm: number;
}

/** An antenna of which only gain and width are known. */
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
  /** Polarisation that was heard; "both": every level holds for either. */
  polarisation: 0 | 1 | "both";
  /** What the levels are of those seen in the time of the scan. */
  statistic: "median" | "p90" | "peak-hold";
  /** Elevation from which the power is taken to come, and to which the scan's antenna is tilted. */
  elevationDeg: number;
  readings: readonly ScanReading[];
}

/** Something about a scan that the planner should know. */
export interface ScanFinding {
  code: "channel-partly-scanned" | "bearings-partly-scanned" | "peak-hold-scan";
  detail: string;
}

/** Where the noise in a channel comes from. */
export interface ScanDirections {
  /** Centres of the sectors of azimuth from which power comes, rising, and the width of each. */
  azimuthDeg: Float64Array;
  stepDeg: number;
  elevationDeg: number;
  polarisation: Scan["polarisation"];
  /** What an antenna of 0 dBi would receive from each sector of azimuth in the channel, dBm; -Infinity: nothing. */
  incidentDbm: Float64Array;
  findings: ScanFinding[];
}
