import { toDb } from "@fellmark/units";
import { measureCut } from "./measure/cut-parameters.ts";
import { findPeak, findRay } from "./measure/peak-frame.ts";
import { createAzimuthCut, createElevationCut } from "./measure/plane-cuts.ts";
import { findLobeEnds, type Survey, surveySphere } from "./measure/sphere-survey.ts";
import type { AntennaPattern, Port } from "./pattern.ts";

/** Level that replaces the side lobes, below the peak. */
const FLOOR_DB = 80;
const RAYS = 180;

/** Main lobe of one port: inside it the gain stays, outside it does not exceed the floor. */
interface BareLobe {
  contains(azimuthDeg: number, elevationDeg: number): boolean;
  floorDbi: number;
  /** False: no side lobe follows the main lobe anywhere. */
  hasLobes: boolean;
  survey: Survey;
}

/**
 * Returns the pattern without side lobes: beyond the first minimum after a fall of 10 dB, along every ray from the peak,
 * no level exceeds the peak less 80 dB. "peak-kept" leaves the main lobe as it is; "renormalised" raises it to keep the
 * mean over the sphere. A pattern without side lobes is returned unchanged.
 */
export function removeLobes(base: AntennaPattern, power: "peak-kept" | "renormalised"): AntennaPattern {
  const lobes = [findBareLobe(base, 0), findBareLobe(base, 1)];
  if (!lobes.some(({ hasLobes }) => hasLobes)) return base;
  const bare = createBarePattern(base, lobes, [0, 0]);
  if (power === "peak-kept") return bare;
  const raiseDb = lobes.map(({ survey }, index) => {
    const port: Port = index === 0 ? 0 : 1;
    return toDb(surveySphere(base, port, survey).total / surveySphere(bare, port, survey).total);
  });
  return createBarePattern(base, lobes, raiseDb);
}

function createBarePattern(
  base: AntennaPattern,
  lobes: readonly BareLobe[],
  raiseDb: readonly number[],
): AntennaPattern {
  const bare =
    (gain: AntennaPattern["gainDbi"]): AntennaPattern["gainDbi"] =>
    (azimuthDeg, elevationDeg, port) => {
      const gainDbi = gain.call(base, azimuthDeg, elevationDeg, port);
      const { contains, floorDbi } = lobes[port];
      const stays = gainDbi <= floorDbi || contains(azimuthDeg, elevationDeg);
      return raiseDb[port] + (stays ? gainDbi : floorDbi);
    };
  return {
    peakGainDbi: Math.max(...lobes.map(({ survey }, port) => survey.peak.gainDbi + raiseDb[port])),
    levels: base.levels,
    gainDbi: bare(base.gainDbi),
    ...(base.crossGainDbi && { crossGainDbi: bare(base.crossGainDbi) }),
  };
}

function findBareLobe(pattern: AntennaPattern, port: Port): BareLobe {
  const peak = findPeak(pattern, port);
  const azimuthWidthDeg = measureCut(createAzimuthCut(pattern, port, peak)).halfPowerWidthDeg;
  const elevationWidthDeg = measureCut(createElevationCut(pattern, port, peak)).halfPowerWidthDeg;
  const window = { azimuthWidthDeg: 360, elevationFromDeg: -90, elevationToDeg: 90 };
  const survey = { peak, azimuthWidthDeg, elevationWidthDeg, window };
  const ends = findLobeEnds(pattern, port, survey, RAYS);
  return {
    survey,
    floorDbi: peak.gainDbi - FLOOR_DB,
    hasLobes: ends.some((endDeg) => endDeg < 180),
    contains(azimuthDeg, elevationDeg) {
      const { offDeg, rayDeg } = findRay(peak, azimuthDeg, elevationDeg);
      const ray = Math.floor((rayDeg * RAYS) / 360);
      const share = (rayDeg * RAYS) / 360 - ray;
      return offDeg <= ends[ray % RAYS] * (1 - share) + ends[(ray + 1) % RAYS] * share;
    },
  };
}
