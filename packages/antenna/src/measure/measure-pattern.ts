import { dbFromRatio } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import { type CutParameters, frontToBack, measureCut } from "./cut-parameters.ts";
import { findPeak } from "./peak-frame.ts";
import { azimuthCut, elevationCut } from "./plane-cuts.ts";
import { type ServiceWindow, type SpherePowers, surveySphere } from "./sphere-survey.ts";

/** Shares of all the power that leaves the antenna, both polarisations; ohmic and feeder loss stand apart. */
export interface BeamEfficiency {
  /** Inside the main lobe. */
  mainLobe: number;
  /** Inside the cone whose width is 2.5 half-power widths. */
  cone: number;
  /** Inside the service window. */
  window: number;
}

/** One port at one frequency. */
export interface PortParameters {
  peakGainDbi: number;
  peakAzimuthDeg: number;
  peakElevationDeg: number;
  azimuth: CutParameters;
  elevation: CutParameters;
  /** Worst within 30 degrees of straight behind, at the elevation of the peak. */
  frontToBackDb: number;
  straightBehindDb: number;
  /** Least co-polar over cross-polar level in the half-power beam; null: not known. */
  crossPolarDb: number | null;
  /** Mean of the gain over the sphere: 1 for a lossless antenna. */
  sphereMean: number;
  window: ServiceWindow;
  /** Null where the pattern does not balance; `efficiencyRefusal` says why. */
  efficiency: BeamEfficiency | null;
  efficiencyRefusal: string | null;
}

/** More than this over 1 and the pattern sends more power than it is fed. */
const LARGEST_SPHERE_MEAN = 1.03;
const LEAST_REFERENCE_MEAN = 0.99;

/**
 * The measures of a port.
 * @param window where service is wanted; default: the half-power widths about the peak.
 * @param isReference true for a stated shape (TR 38.901, F.1336 ...), whose missing power is no loss of an antenna.
 */
export function measurePort(
  pattern: AntennaPattern,
  port: Port,
  { window, isReference = false }: { window?: ServiceWindow | undefined; isReference?: boolean } = {},
): PortParameters {
  const peak = findPeak(pattern, port);
  const around = azimuthCut(pattern, port, peak);
  const azimuth = measureCut(around);
  const elevation = measureCut(elevationCut(pattern, port, peak));
  const [azimuthWidthDeg, elevationWidthDeg] = [azimuth.halfPowerWidthDeg, elevation.halfPowerWidthDeg];
  const served = window ?? {
    azimuthWidthDeg,
    elevationFromDeg: Math.max(peak.elevationDeg - elevationWidthDeg / 2, -90),
    elevationToDeg: Math.min(peak.elevationDeg + elevationWidthDeg / 2, 90),
  };
  const powers = surveySphere(pattern, port, { peak, azimuthWidthDeg, elevationWidthDeg, window: served });
  const behind = frontToBack(around);
  const refusal = efficiencyRefusal(pattern, powers, isReference);
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
    efficiency: refusal === null ? efficiencyOf(powers) : null,
    efficiencyRefusal: refusal,
  };
}

function efficiencyOf({ total, mainLobe, cone, window }: SpherePowers): BeamEfficiency {
  return { mainLobe: mainLobe / total, cone: cone / total, window: window / total };
}

function efficiencyRefusal({ levels }: AntennaPattern, { total }: SpherePowers, isReference: boolean): string | null {
  if (levels === "envelope") return "a peak envelope lies over every lobe: the power in it is no antenna's";
  if (total > LARGEST_SPHERE_MEAN) return `the sphere integrates to ${total.toFixed(3)}: more power than is fed`;
  if (!isReference || total >= LEAST_REFERENCE_MEAN) return null;
  const missingDb = (-dbFromRatio(total)).toFixed(2);
  return `a reference shape that integrates to ${total.toFixed(3)}: ${missingDb} dB are in no direction`;
}
