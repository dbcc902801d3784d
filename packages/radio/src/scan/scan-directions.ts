import type { AntennaPattern, Port } from "@fellmark/antenna";
import { dbmFromMilliwatts, milliwattsFromDbm } from "@fellmark/units";
import type { Channel } from "../channel-coupling.ts";
import { nonNegativeLeastSquares } from "./non-negative-least-squares.ts";
import type { Scan, ScanBeam, ScanDirections, ScanFinding } from "./scan.ts";
import { gainAside } from "./scan-antenna.ts";
import { type ScanBin, type ScanRings, scanRings } from "./scan-rings.ts";

export interface ScanContext {
  /** Pattern of the scan's antenna where the scan names one. */
  antenna?: AntennaPattern;
  /** JSON pointer of the scan, for errors. */
  pointer?: string;
}

/**
 * Where the noise that a scan found in a channel comes from. An emitter shows in every reading whose beam touches it; the
 * levels by bearing are therefore solved for the powers, none negative, that come from the scanned bearings and give
 * those levels through the scan's own antenna. The mean density over the scanned part of the channel holds for all of
 * it. The noise of the scan's receiver is not subtracted, and levels are taken as they are, whatever their statistic.
 * Accuracy: an emitter between the bearings is found 0.15 dB too strong (steps of 10 degrees, antenna of 30).
 * Example: one emitter at -70 dBm, scanned through 15 dBi of 30 degrees width every 10 degrees, is found at its bearing
 * with -70 dBm, not with three times as much.
 * Throws InputError where the readings cannot be a scan (see `scanRings`).
 */
export function scanDirections(
  scan: Scan,
  channel: Channel,
  { antenna, pointer = "" }: ScanContext = {},
): ScanDirections {
  const { elevationDeg, polarisation } = scan;
  const rings = scanRings(scan, channel, pointer);
  const nowhere = { azimuthDeg: new Float64Array(0), stepDeg: 0, incidentDbm: new Float64Array(0) };
  if (rings === null) return { ...nowhere, elevationDeg, polarisation, findings: [] };
  const { azimuthDeg, stepDeg } = rings;
  const levelMw = channelMw(rings, channel);
  const matrix = beamMatrix(azimuthDeg, antennaOf(scan, antenna), polarisation === 1 ? 1 : 0);
  const gainAllRound = matrix.subarray(0, levelMw.length).reduce((sum, gain) => sum + gain, 0);
  const ifEqual = levelMw.map((level) => level / gainAllRound);
  const incidentMw = nonNegativeLeastSquares(matrix, levelMw, ifEqual);
  return {
    azimuthDeg,
    stepDeg,
    elevationDeg,
    polarisation,
    incidentDbm: incidentMw.map(dbmFromMilliwatts),
    findings: findingsOf(scan, rings, channel),
  };
}

function antennaOf(scan: Scan, antenna: AntennaPattern | undefined): AntennaPattern | ScanBeam {
  if (typeof scan.antenna !== "string") return scan.antenna;
  if (antenna === undefined) throw new TypeError(`the pattern of ${scan.antenna} is not given`);
  return antenna;
}

/** Row i: what the antenna, turned to bearing i, receives from each direction of 0 dBm incident power, mW. */
function beamMatrix(azimuthDeg: Float64Array, antenna: AntennaPattern | ScanBeam, port: Port): Float64Array {
  const count = azimuthDeg.length;
  return Float64Array.from({ length: count * count }, (_, index) => {
    return gainAside(antenna, azimuthDeg[index % count] - azimuthDeg[Math.floor(index / count)], port);
  });
}

/** Level of each bearing in the channel, mW: the mean density, each bin as much as it lies in the channel, times the width. */
function channelMw({ azimuthDeg, bins, resolutionMhz }: ScanRings, { widthMhz }: Channel): Float64Array {
  const insideMhz = bins.reduce((sum, { lowMhz, highMhz }) => sum + highMhz - lowMhz, 0);
  return Float64Array.from(azimuthDeg, (_, bearing) => {
    let level = 0;
    for (const { lowMhz, highMhz, levelsDbm } of bins) {
      level += milliwattsFromDbm(levelsDbm[bearing]) * ((highMhz - lowMhz) / insideMhz);
    }
    return level * (widthMhz / resolutionMhz);
  });
}

function findingsOf({ statistic }: Scan, { azimuthDeg, stepDeg, bins }: ScanRings, channel: Channel): ScanFinding[] {
  const findings: ScanFinding[] = [];
  if (statistic === "peak-hold") {
    findings.push({
      code: "peak-hold-scan",
      detail: "the highest levels ever seen; the noise is less most of the time",
    });
  }
  const scannedMhz = unionMhz(bins);
  if (scannedMhz < channel.widthMhz * (1 - ROUNDING)) {
    const detail = `${scannedMhz.toFixed(1)} of ${channel.widthMhz} MHz scanned; the rest is taken to be alike`;
    findings.push({ code: "channel-partly-scanned", detail });
  }
  const scannedDeg = azimuthDeg.length * stepDeg;
  if (scannedDeg < 360 * (1 - ROUNDING)) {
    const detail = `${scannedDeg.toFixed(0)} of 360 degrees scanned; nothing is taken to come from the rest`;
    findings.push({ code: "bearings-partly-scanned", detail });
  }
  return findings;
}

/** Share of a whole below which a part is missing. */
const ROUNDING = 1e-3;

/** Width of all bins together, what two share counted once; they rise in frequency. */
function unionMhz(bins: readonly ScanBin[]): number {
  let width = 0;
  let reachedMhz = Number.NEGATIVE_INFINITY;
  for (const { lowMhz, highMhz } of bins) {
    width += Math.max(0, highMhz - Math.max(lowMhz, reachedMhz));
    reachedMhz = Math.max(reachedMhz, highMhz);
  }
  return width;
}
