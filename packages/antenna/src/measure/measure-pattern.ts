import { toDb } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import { type CutParameters, measureCut, measureFrontToBack } from "./cut-parameters.ts";
import { findPeak } from "./peak-frame.ts";
import { createAzimuthCut, createElevationCut } from "./plane-cuts.ts";
import { type ServiceWindow, type SpherePowers, surveySphere } from "./sphere-survey.ts";

/** Shares of all the power that leaves the antenna, both polarisations, without ohmic and feeder loss. */
export interface BeamEfficiency {
  /** Share inside the main lobe. */
  mainLobe: number;
  /** Share inside the cone whose width is 2.5 half-power widths. */
  cone: number;
  /** Share inside the service window. */
  window: number;
}

/** Parameters of one port at one frequency. */
export interface PortParameters {
  peakGainDbi: number;
  peakAzimuthDeg: number;
  peakElevationDeg: number;
  azimuth: CutParameters;
  elevation: CutParameters;
  /** Peak over the highest level within 30 degrees of straight behind, at the elevation of the peak. */
  frontToBackDb: number;
  straightBehindDb: number;
  /** Least co-polar over cross-polar level in the half-power beam; null: not known. */
  crossPolarDb: number | null;
  /** Mean of the gain over the sphere: 1 for a lossless antenna. */
  sphereMean: number;
  window: ServiceWindow;
  /** Null where the power of the pattern does not balance; `efficiencyRefusal` states the reason. */
  efficiency: BeamEfficiency | null;
  efficiencyRefusal: string | null;
}

/** A pattern above this limit radiates more power than it is fed. */
const LARGEST_SPHERE_MEAN = 1.03;
const LEAST_REFERENCE_MEAN = 0.99;

/**
 * Returns the parameters of a port.
 * @param window directions to serve; default: the half-power widths about the peak.
 * @param isReference true for a stated shape (TR 38.901, F.1336 ...), whose missing power is not a loss of an antenna.
 */
export function measurePort(
  pattern: AntennaPattern,
  port: Port,
  { window, isReference = false }: { window?: ServiceWindow | undefined; isReference?: boolean } = {},
): PortParameters {
  const peak = findPeak(pattern, port);
  const around = createAzimuthCut(pattern, port, peak);
  const azimuth = measureCut(around);
  const elevation = measureCut(createElevationCut(pattern, port, peak));
  const [azimuthWidthDeg, elevationWidthDeg] = [azimuth.halfPowerWidthDeg, elevation.halfPowerWidthDeg];
  const served = window ?? {
    azimuthWidthDeg,
    elevationFromDeg: Math.max(peak.elevationDeg - elevationWidthDeg / 2, -90),
    elevationToDeg: Math.min(peak.elevationDeg + elevationWidthDeg / 2, 90),
  };
  const powers = surveySphere(pattern, port, { peak, azimuthWidthDeg, elevationWidthDeg, window: served });
  const behind = measureFrontToBack(around);
  const refusal = explainMissingEfficiency(pattern, powers, isReference);
  return {
    peakGainDbi: peak.gainDbi,
    peakAzimuthDeg: peak.azimuthDeg,
    peakElevationDeg: peak.elevationDeg,
    azimuth,
    elevation,
    frontToBackDb: behind.worstDb,
    straightBehindDb: behind.straightBehindDb,
    crossPolarDb: powers.crossPolarDb,
    sphereMean: powers.total,
    window: served,
    efficiency: refusal === null ? toEfficiency(powers) : null,
    efficiencyRefusal: refusal,
  };
}

function toEfficiency({ total, mainLobe, cone, window }: SpherePowers): BeamEfficiency {
  return { mainLobe: mainLobe / total, cone: cone / total, window: window / total };
}

function explainMissingEfficiency(
  { levels }: AntennaPattern,
  { total }: SpherePowers,
  isReference: boolean,
): string | null {
  if (levels === "envelope") return "a peak envelope lies above every lobe: its power is not that of an antenna";
  if (total > LARGEST_SPHERE_MEAN) return `the sphere integrates to ${total.toFixed(3)}: more power than is fed`;
  if (!isReference || total >= LEAST_REFERENCE_MEAN) return null;
  const missingDb = (-toDb(total)).toFixed(2);
  return `a reference shape that integrates to ${total.toFixed(3)}: ${missingDb} dB are in no direction`;
}
