import type { AntennaPattern, Port } from "@fellmark/antenna";
import { normaliseSignedDeg, toRatio } from "@fellmark/units";
import type { ScanBeam } from "./scan.ts";

/** Level of a beam of known width far off its axis, under its peak, dB. Common practice, no source. */
const BEAM_FLOOR_DB = 30;

/**
 * Returns the gain of a scan's antenna, linear, at an angle from its bearing. A beam with only gain and width falls with
 * the square of the angle, 3 dB at half its width, down to a floor 30 dB below its peak.
 * Source of the shape: 3GPP TR 38.901 (V17.0.0), table 7.3-1, horizontal cut.
 */
export function computeGainAside(antenna: AntennaPattern | ScanBeam, offDeg: number, port: Port): number {
  const aside = normaliseSignedDeg(offDeg);
  if ("peakGainDbi" in antenna) return toRatio(antenna.gainDbi(aside, 0, port));
  return toRatio(antenna.gainDbi - Math.min(12 * (aside / antenna.widthDeg) ** 2, BEAM_FLOOR_DB));
}
