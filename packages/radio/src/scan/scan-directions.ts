import type { AntennaPattern, Port } from "@fellmark/antenna";
import { toDbm, toMilliwatts } from "@fellmark/units";
import type { Channel } from "../channel-coupling.ts";
import { computeNoiseDbm } from "../noise.ts";
import { solveNonNegative } from "./non-negative-least-squares.ts";
import type { Scan, ScanBeam, ScanDirections, ScanFinding } from "./scan.ts";
import { computeGainAside } from "./scan-antenna.ts";
import { groupReadings, type ScanBin, type ScanRings } from "./scan-rings.ts";

export interface ScanContext {
  /** Pattern of the scan's antenna where the scan names one. */
  antenna?: AntennaPattern;
  /** JSON pointer of the scan, for errors. */
  pointer?: string;
}

/**
 * Returns the noise of a scan in a channel by direction. An emitter shows in every reading whose beam covers it; the
 * levels by bearing are therefore solved for the powers, none negative, that come from the scanned bearings and give
 * those levels through the scan's own antenna. The mean density over the scanned part of the channel holds for all of
 * it. The noise of the scanner, k T0 B with its noise figure, is subtracted from each level as power; a level below it
 * counts as none. Levels are used as they are for any statistic.
 * Accuracy: an emitter between the bearings is found 0.15 dB too strong (steps of 10 degrees, antenna of 30).
 * Example: one emitter at -70 dBm, scanned through 15 dBi of 30 degrees width every 10 degrees, is found at its bearing
 * with -70 dBm, not with three times as much.
 * Throws InputError where the readings cannot be a scan (see `groupReadings`).
 */
export function solveScanDirections(
  scan: Scan,
  channel: Channel,
  { antenna, pointer = "" }: ScanContext = {},
): ScanDirections {
  const { elevationDeg, polarisation } = scan;
  const rings = groupReadings(scan, channel, pointer);
  const nowhere = { azimuthDeg: new Float64Array(0), stepDeg: 0, incidentDbm: new Float64Array(0) };
  if (rings === null) return { ...nowhere, elevationDeg, polarisation, findings: [] };
  const { azimuthDeg, stepDeg } = rings;
  const floorMw = findFloorMw(scan);
  const levelMw = sumChannelMw(rings, channel, floorMw);
  const matrix = computeBeamMatrix(azimuthDeg, findAntenna(scan, antenna), polarisation === 1 ? 1 : 0);
  const gainAllRound = matrix.subarray(0, levelMw.length).reduce((sum, gain) => sum + gain, 0);
  const ifEqual = levelMw.map((level) => level / gainAllRound);
  const incidentMw = solveNonNegative(matrix, levelMw, ifEqual);
  return {
    azimuthDeg,
    stepDeg,
    elevationDeg,
    polarisation,
    incidentDbm: incidentMw.map(toDbm),
    findings: listFindings(scan, rings, channel),
  };
}

function findAntenna(scan: Scan, antenna: AntennaPattern | undefined): AntennaPattern | ScanBeam {
  if (typeof scan.antenna !== "string") return scan.antenna;
  if (antenna === undefined) throw new TypeError(`the pattern of ${scan.antenna} is not given`);
  return antenna;
}

/** Returns in row i the power that the antenna, turned to bearing i, receives from 0 dBm in each direction, mW. */
function computeBeamMatrix(azimuthDeg: Float64Array, antenna: AntennaPattern | ScanBeam, port: Port): Float64Array {
  const count = azimuthDeg.length;
  return Float64Array.from({ length: count * count }, (_, index) => {
    return computeGainAside(antenna, azimuthDeg[index % count] - azimuthDeg[Math.floor(index / count)], port);
  });
}

/** Returns the noise of the scanner in its resolution bandwidth, mW; 0 where the levels are free of it. */
function findFloorMw({ noiseFigureDb, resolutionMhz }: Scan): number {
  return noiseFigureDb == null ? 0 : toMilliwatts(computeNoiseDbm(resolutionMhz, noiseFigureDb));
}

/** Returns the level of each bearing in the channel, mW: mean density, weighted by overlap with the channel, times width. */
function sumChannelMw(
  { azimuthDeg, bins, resolutionMhz }: ScanRings,
  { widthMhz }: Channel,
  floorMw: number,
): Float64Array {
  const insideMhz = bins.reduce((sum, { lowMhz, highMhz }) => sum + highMhz - lowMhz, 0);
  return Float64Array.from(azimuthDeg, (_, bearing) => {
    let level = 0;
    for (const { lowMhz, highMhz, levelsDbm } of bins) {
      const receivedMw = Math.max(toMilliwatts(levelsDbm[bearing]) - floorMw, 0);
      level += receivedMw * ((highMhz - lowMhz) / insideMhz);
    }
    return level * (widthMhz / resolutionMhz);
  });
}

function listFindings(scan: Scan, { azimuthDeg, stepDeg, bins }: ScanRings, channel: Channel): ScanFinding[] {
  const { statistic } = scan;
  const findings: ScanFinding[] = [];
  const floorMw = findFloorMw(scan);
  const lowestDbm = Math.min(...bins.flatMap(({ levelsDbm }) => [...levelsDbm]));
  if (floorMw > 0 && lowestDbm < toDbm(floorMw) - BELOW_NOISE_DB) {
    const detail = `a level of ${lowestDbm.toFixed(1)} dBm lies below the scanner's noise of ${toDbm(floorMw).toFixed(1)} dBm: check its noise figure`;
    findings.push({ code: "scan_below_noise", detail });
  }
  if (statistic === "peak-hold") {
    findings.push({
      code: "peak_hold_scan",
      detail: "peak-hold levels are the highest of the whole scan; the noise is lower most of the time",
    });
  }
  const scannedMhz = measureUnionMhz(bins);
  if (scannedMhz < channel.widthMhz * (1 - ROUNDING)) {
    const detail = `${scannedMhz.toFixed(1)} of ${channel.widthMhz} MHz scanned; the rest is assumed to be alike`;
    findings.push({ code: "channel_partly_scanned", detail });
  }
  const scannedDeg = azimuthDeg.length * stepDeg;
  if (scannedDeg < 360 * (1 - ROUNDING)) {
    const detail = `${scannedDeg.toFixed(0)} of 360 degrees scanned; no power is assumed from the rest`;
    findings.push({ code: "bearings_partly_scanned", detail });
  }
  return findings;
}

/** A level so far below the scanner's noise contradicts the noise figure, dB. Common practice, no source. */
const BELOW_NOISE_DB = 3;

/** Tolerance of "all scanned", as a share. */
const ROUNDING = 1e-3;

/** Returns the width of the union of all bins, which rise in frequency. */
function measureUnionMhz(bins: readonly ScanBin[]): number {
  let width = 0;
  let reachedMhz = Number.NEGATIVE_INFINITY;
  for (const { lowMhz, highMhz } of bins) {
    width += Math.max(0, highMhz - Math.max(lowMhz, reachedMhz));
    reachedMhz = Math.max(reachedMhz, highMhz);
  }
  return width;
}
