import { bulgeM, firstZoneRadiusM, lineAtM, type PathShape } from "./path-shape.ts";
import type { ProfileToDraw } from "./profile-to-draw.ts";

/** Where the plot lies on the sheet, px. */
export const PLOT = { left: 66, right: 880, top: 92, bottom: 330 };

/** Room between the plot's sides and the masts. */
const SIDE_PX = 16;
const FIRST_COLUMN_PX = PLOT.left + SIDE_PX;

/** Columns, 1 px apart, at which the ground is drawn. */
export const COLUMNS = PLOT.right - PLOT.left - 2 * SIDE_PX + 1;

/** Room over the highest of what is drawn, more where numbers stand over it, and under the lowest, px. */
const HEAD_PX = 18;
const HEAD_WITH_NUMBERS_PX = 36;
const FOOT_PX = 22;

/** Fewer metres than this are not spread over the height of the plot. */
const LEAST_SPAN_M = 10;

/** How places on the path become places on the sheet. */
export interface PlotFrame {
  lengthM: number;
  lowestM: number;
  highestM: number;
  /** False where not one height is known: then the scale of heights means nothing. */
  hasHeights: boolean;
  /** How many times steeper the picture is than the land. */
  steepness: number;
  xOf(distanceM: number): number;
  /** Of a height over the chord of the sea. */
  yOf(heightM: number): number;
}

export function xOfColumn(column: number): number {
  return FIRST_COLUMN_PX + column;
}

export function plotFrame(profile: ProfileToDraw, shape: PathShape): PlotFrame {
  const { lengthM } = shape;
  const heightsM = heightsToShow(profile, shape).filter(Number.isFinite);
  const hasHeights = heightsM.length > 0;
  const [leastM, mostM] = hasHeights ? range(heightsM) : [0, LEAST_SPAN_M];
  const spareM = Math.max(0, LEAST_SPAN_M - (mostM - leastM));
  const headPx = profile.blocking.length > 0 ? HEAD_WITH_NUMBERS_PX : HEAD_PX;
  const pxPerM = (PLOT.bottom - PLOT.top - headPx - FOOT_PX) / (mostM - leastM + spareM);
  const pxPerPathM = (COLUMNS - 1) / lengthM;
  const bottomM = leastM - FOOT_PX / pxPerM;
  return {
    lengthM,
    lowestM: bottomM,
    highestM: mostM + spareM + headPx / pxPerM,
    hasHeights,
    steepness: pxPerM / pxPerPathM,
    xOf: (distanceM) => FIRST_COLUMN_PX + distanceM * pxPerPathM,
    yOf: (heightM) => PLOT.bottom - (heightM - bottomM) * pxPerM,
  };
}

/** Ground, growth, antennas, the first Fresnel zone and the blocking places. */
function heightsToShow({ frequencyGhz, effectiveEarthRadiusM, blocking }: ProfileToDraw, shape: PathShape): number[] {
  const { lengthM, groundM, topM, mastTipM, kitTipM } = shape;
  const zoneM = Array.from(groundM, (_, column) => {
    const atM = (lengthM * column) / (COLUMNS - 1);
    const radiusM = firstZoneRadiusM(atM, lengthM - atM, frequencyGhz);
    return [lineAtM(shape, atM) - radiusM, lineAtM(shape, atM) + radiusM];
  });
  const blockingM = blocking.map(
    ({ distanceM, heightAmslM }) => heightAmslM + bulgeM(distanceM, lengthM - distanceM, effectiveEarthRadiusM),
  );
  return [...groundM, ...topM, mastTipM, kitTipM, ...zoneM.flat(), ...blockingM];
}

function range(values: number[]): [number, number] {
  return [Math.min(...values), Math.max(...values)];
}
