import { type AntennaPattern, type Port, refuseEnvelope } from "@fellmark/antenna";
import { toMilliwatts, toRatio } from "@fellmark/units";
import type { ScanDirections } from "./scan.ts";

/**
 * Returns the noise at a port of a mounted antenna from the directions of a scan, mW per chain in the scan's channel,
 * before feeder and connectors. The place of a source within its step is unknown: the gain is the mean over the step.
 * Power that was scanned in one polarisation only reaches the other port by its cross-polar gain, or by the co-polar
 * gain where that is not known.
 * @param pattern as mounted: see `aimPattern`.
 * @param pointer JSON pointer of the antenna, for errors.
 * Throws InputError where the pattern is an envelope.
 */
export function computeScanNoiseMw(
  directions: ScanDirections,
  pattern: AntennaPattern,
  port: Port,
  pointer = "",
): number {
  refuseEnvelope(pattern, pointer);
  const { azimuthDeg, incidentDbm, polarisation } = directions;
  const isHeard = polarisation === "both" || polarisation === port;
  const gainDbi = isHeard ? pattern.gainDbi : (pattern.crossGainDbi ?? pattern.gainDbi);
  let noiseMw = 0;
  for (const [index, powerDbm] of incidentDbm.entries()) {
    if (powerDbm === Number.NEGATIVE_INFINITY) continue;
    const gainAt = (azimuth: number) => gainDbi.call(pattern, azimuth, directions.elevationDeg, port);
    noiseMw += toMilliwatts(powerDbm) * averageOverStep(gainAt, azimuthDeg[index], directions.stepDeg);
  }
  return noiseMw;
}

/** Step of the azimuths at which the gain is read, degrees: a fraction of any sector's lobes. */
const SAMPLE_STEP_DEG = 1;

function averageOverStep(gainDbi: (azimuthDeg: number) => number, centreDeg: number, stepDeg: number): number {
  const samples = Math.max(1, Math.round(stepDeg / SAMPLE_STEP_DEG));
  let sum = 0;
  for (let sample = 0; sample < samples; sample++) {
    sum += toRatio(gainDbi(centreDeg + ((sample + 0.5) / samples - 0.5) * stepDeg));
  }
  return sum / samples;
}
