import type { AntennaDescription } from "@fellmark/antenna";
import { toDescription } from "../antenna-schema.ts";
import type { CheckedParts, Finding, FindingRow } from "./finding.ts";

/** Square degrees of a sphere: the greatest gain of a beam is this over the product of its half-power widths. */
const SPHERE_SQUARE_DEG = 41_253;

/** Gain over the widths' by which a pattern is refused, and under it by which a gain looks relative. */
const EXCESS_ERROR_DB = 1.5;
const SHORTFALL_DB = 6;

const HALF_POWER_DB = 3;

/** A peak of a cut that lies lower is not normalised. */
const PEAK_TOLERANCE_DB = 0.5;

/** Gains that do not go with the beam's widths, and cuts that do not reach their peak. */
export function findGainSlips({ antennas }: CheckedParts): Finding[] {
  return antennas.flatMap((antenna, index) => {
    const at = { pointer: `/antennas/${index}`, row: antenna.id };
    const description = toDescription(antenna);
    return [...findLowPeaks(description, at), ...checkGainAgainstWidths(description, at)];
  });
}

type Cut = readonly (readonly [number, number])[];

function findLowPeaks(antenna: AntennaDescription, at: FindingRow): Finding[] {
  if (antenna.kind !== "cuts") return [];
  return (["horizontal", "vertical"] as const).flatMap((name): Finding[] => {
    const peakDb = findPeak(antenna[name]);
    if (peakDb >= -PEAK_TOLERANCE_DB) return [];
    return [
      {
        code: "levels_not_normalised",
        pointer: `${at.pointer}/${name}`,
        row: at.row,
        detail: `the highest level of the ${name} cut is ${peakDb} dB, not 0`,
        likelyCause: "the levels are absolute gains, or the cut does not pass through the peak",
        suggestion: "give levels relative to the peak; the gain stands in gainDbi",
        severity: "warning",
      },
    ];
  });
}

function findPeak(cut: Cut): number {
  return cut.reduce((peak, [, levelDb]) => Math.max(peak, levelDb), Number.NEGATIVE_INFINITY);
}

function checkGainAgainstWidths(antenna: AntennaDescription, at: FindingRow): Finding[] {
  const widths = measureWidthsDeg(antenna);
  if (!widths || !("gainDbi" in antenna)) return [];
  const { gainDbi } = antenna;
  const [acrossDeg, upDeg] = widths;
  const greatestDbi = 10 * Math.log10(SPHERE_SQUARE_DEG / (acrossDeg * upDeg));
  const excessDb = gainDbi - greatestDbi;
  const row = { pointer: `${at.pointer}/gainDbi`, row: at.row };
  const beam = `a beam of ${acrossDeg.toFixed(0)} by ${upDeg.toFixed(0)} degrees has ${greatestDbi.toFixed(1)} dBi at most`;
  if (excessDb > 0) {
    return [
      {
        ...row,
        code: "gain_above_beam_width",
        detail: `${gainDbi} dBi: ${beam}`,
        likelyCause: "the gain or the pattern is of another antenna, or the gain of two ports was added",
        suggestion: "check gain and pattern against the data sheet",
        severity: excessDb > EXCESS_ERROR_DB ? "error" : "warning",
      },
    ];
  }
  if (excessDb >= -SHORTFALL_DB) return [];
  return [
    {
      ...row,
      code: "gain_below_beam_width",
      detail: `${gainDbi} dBi: ${beam}`,
      likelyCause: "the gain is relative: normalised to the peak, or in dBd",
      suggestion: "state the gain over an isotropic antenna",
      severity: "warning",
    },
  ];
}

/** Half-power widths across and up; undefined where the description does not tell, or an end of a cut is open. */
function measureWidthsDeg(antenna: AntennaDescription): [number, number] | undefined {
  if (antenna.kind === "f1336" && antenna.elevationWidthDeg !== undefined)
    return [antenna.azimuthWidthDeg, antenna.elevationWidthDeg];
  if (antenna.kind !== "cuts") return undefined;
  const across = measureHalfPowerWidthDeg(antenna.horizontal);
  const up = measureHalfPowerWidthDeg(antenna.vertical);
  return across !== undefined && up !== undefined ? [across, up] : undefined;
}

/** Angle between the two places where a cut falls 3 dB below its peak; undefined where it does not on either side. */
function measureHalfPowerWidthDeg(cut: Cut): number | undefined {
  const peakDb = findPeak(cut);
  const peakDeg = cut.find(([, levelDb]) => levelDb === peakDb)?.[0] ?? 0;
  const aroundPeak = cut
    .map(([angleDeg, levelDb]) => ({ offDeg: ((angleDeg - peakDeg + 540) % 360) - 180, downDb: peakDb - levelDb }))
    .sort((a, b) => a.offDeg - b.offDeg);
  const right = measureHalfPowerOffsetDeg(aroundPeak.filter(({ offDeg }) => offDeg >= 0));
  const left = measureHalfPowerOffsetDeg(aroundPeak.filter(({ offDeg }) => offDeg <= 0).reverse());
  return right !== undefined && left !== undefined ? right + left : undefined;
}

/** Offset of the 3 dB point, from points outwards. A main lobe falls with the square of the angle (TR 38.901, 7.3). */
function measureHalfPowerOffsetDeg(outwards: { offDeg: number; downDb: number }[]): number | undefined {
  const outside = outwards.findIndex(({ downDb }) => downDb >= HALF_POWER_DB);
  const to = outwards[outside];
  const from = outwards[outside - 1];
  if (!from || !to) return undefined;
  const share = (HALF_POWER_DB - from.downDb) / (to.downDb - from.downDb);
  return Math.sqrt(from.offDeg ** 2 + share * (to.offDeg ** 2 - from.offDeg ** 2));
}
