import type { CheckedParts, Finding, FindingRow } from "./finding.ts";

/** Azimuths are planned in these steps: 0, 90, 120, ... Common practice. */
const PLANNED_STEP_DEG = 30;

/** Downtilt beyond which a sector misses its area. Common practice. */
const STEEP_TILT_DEG = 15;

/** Least sectors that tell a common offset from chance, least offset that matters, and how equal the offsets are. */
const LEAST_SECTORS = 3;
const LEAST_OFFSET_DEG = 2;
const SPREAD_DEG = 0.5;

/** Steep tilts, tilts that point up, and azimuths that are all off by the same angle. */
export function findBearingSlips({ sectors }: CheckedParts): Finding[] {
  return [
    ...sectors.flatMap(({ id, downtiltDeg }, index): Finding[] => {
      if (downtiltDeg > STEEP_TILT_DEG)
        return findSteepTilt({ pointer: `/sectors/${index}/downtiltDeg`, row: id }, downtiltDeg);
      if (downtiltDeg >= 0) return [];
      return [
        {
          code: "tilt_sign",
          pointer: `/sectors/${index}/downtiltDeg`,
          row: id,
          detail: `a downtilt of ${downtiltDeg} degrees points above the horizon`,
          likelyCause: "the sheet counts tilt upwards",
          suggestion: `if so, state ${-downtiltDeg}`,
          severity: "warning",
        },
      ];
    }),
    ...findMagneticAzimuths(sectors),
  ];
}

function findSteepTilt(at: FindingRow, downtiltDeg: number): Finding[] {
  return [
    {
      ...at,
      code: "tilt_steep",
      detail: `a downtilt of ${downtiltDeg} degrees is unusual, over ${STEEP_TILT_DEG} degrees`,
      likelyCause: "the tilt is in tenths of a degree, or a digit is wrong",
      suggestion: `if it is in tenths, state ${downtiltDeg / 10}`,
      severity: "warning",
    },
  ];
}

function findMagneticAzimuths(sectors: CheckedParts["sectors"]): Finding[] {
  const offsetsDeg = sectors.map(({ azimuthDeg }) => computeOffsetDeg(azimuthDeg));
  const [first] = sectors;
  const offDeg = offsetsDeg[0] ?? 0;
  const isCommon = offsetsDeg.every((offset) => Math.abs(offset - offDeg) <= SPREAD_DEG);
  if (!first || sectors.length < LEAST_SECTORS || Math.abs(offDeg) < LEAST_OFFSET_DEG || !isCommon) return [];
  return [
    {
      code: "magnetic_azimuth",
      pointer: "/sectors/0/azimuthDeg",
      row: first.id,
      detail: `the azimuths of all ${sectors.length} sectors are ${offDeg.toFixed(1)} degrees off multiples of ${PLANNED_STEP_DEG}`,
      likelyCause: "they were read off a compass: magnetic instead of true north",
      suggestion: "compare with the magnetic declination of the place; azimuths count from true north",
      severity: "hint",
    },
  ];
}

/** Angle from the nearest planned azimuth, -15 to 15 degrees. */
function computeOffsetDeg(azimuthDeg: number): number {
  return azimuthDeg - Math.round(azimuthDeg / PLANNED_STEP_DEG) * PLANNED_STEP_DEG;
}
