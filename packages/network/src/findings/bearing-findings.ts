import type { NetworkDocument } from "../network-document.ts";
import type { Finding } from "./finding.ts";

/** Azimuths are planned in these steps: 0, 90, 120, ... Common practice. */
const PLANNED_STEP_DEG = 30;

/** Least sectors that tell a common offset from chance, least offset that matters, and how equal the offsets are. */
const LEAST_SECTORS = 3;
const LEAST_OFFSET_DEG = 2;
const SPREAD_DEG = 0.5;

/** Tilts that point up, and azimuths that are all off by the same angle. */
export function bearingFindings({ sectors }: NetworkDocument): Finding[] {
  return [
    ...sectors.flatMap(({ id, downtiltDeg }, index): Finding[] => {
      if (downtiltDeg >= 0) return [];
      return [
        {
          code: "tilt-sign",
          pointer: `/sectors/${index}/downtiltDeg`,
          row: id,
          detail: `a downtilt of ${downtiltDeg} degrees points above the horizon`,
          likelyCause: "the sheet counts tilt upwards",
          suggestion: `if so, state ${-downtiltDeg}`,
          severity: "warning",
        },
      ];
    }),
    ...magneticAzimuths(sectors),
  ];
}

function magneticAzimuths(sectors: NetworkDocument["sectors"]): Finding[] {
  const offsetsDeg = sectors.map(({ azimuthDeg }) => offsetDeg(azimuthDeg));
  const [first] = sectors;
  const offDeg = offsetsDeg[0] ?? 0;
  const isCommon = offsetsDeg.every((offset) => Math.abs(offset - offDeg) <= SPREAD_DEG);
  if (!first || sectors.length < LEAST_SECTORS || Math.abs(offDeg) < LEAST_OFFSET_DEG || !isCommon) return [];
  return [
    {
      code: "magnetic-azimuth",
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
function offsetDeg(azimuthDeg: number): number {
  return azimuthDeg - Math.round(azimuthDeg / PLANNED_STEP_DEG) * PLANNED_STEP_DEG;
}
