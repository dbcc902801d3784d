import { computeFirstZoneRadiusM, computeLineM, type PathShape } from "./path-shape.ts";
import type { ProfileToDraw } from "./profile-to-draw.ts";

/** A rectangle of the sheet, px. */
export interface Box {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

export const PLOT: Box = { left: 66, right: 880, top: 92, bottom: 330 };

/** Box of the strip in which the line of sight is level: under the plot and its distances. */
export const STRIP: Box = { ...PLOT, top: 382, bottom: 482 };

/** Room between the sides of a box and the masts. */
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

/** Scale from places on the path to places in a box of the sheet. */
export interface PlotFrame {
  box: Box;
  lengthM: number;
  lowestM: number;
  highestM: number;
  pxPerM: number;
  xOf(distanceM: number): number;
  /** Of a height as the shape of the path has it. */
  yOf(heightM: number): number;
}

export function toColumnX(column: number): number {
  return FIRST_COLUMN_PX + column;
}

/** The frame of the plot; null where not one height is known. */
export function createPlotFrame(profile: ProfileToDraw, shape: PathShape): PlotFrame | null {
  const heightsM = listHeights(profile, shape).filter(Number.isFinite);
  if (heightsM.length === 0) return null;
  const lowestM = Math.min(...heightsM);
  const spanM = Math.max(LEAST_SPAN_M, Math.max(...heightsM) - lowestM);
  const headPx = profile.blocking.length > 0 ? HEAD_WITH_NUMBERS_PX : HEAD_PX;
  const pxPerM = (PLOT.bottom - PLOT.top - headPx - FOOT_PX) / spanM;
  return createFrame(PLOT, shape.lengthM, lowestM - FOOT_PX / pxPerM, lowestM + spanM + headPx / pxPerM);
}

/** Shares of the zone's radius half way that the level strip shows over and under the line. */
const STRIP_REACH = 2.2;

/** The frame of the level strip. */
export function createStripFrame({ frequencyGhz }: ProfileToDraw, { lengthM }: PathShape): PlotFrame {
  const reachM = STRIP_REACH * computeFirstZoneRadiusM(lengthM / 2, lengthM / 2, frequencyGhz);
  return createFrame(STRIP, lengthM, -reachM, reachM);
}

/** A frame for a path of which no height is known. */
export function createEmptyFrame(lengthM: number): PlotFrame {
  return createFrame(PLOT, lengthM, 0, LEAST_SPAN_M);
}

function createFrame(box: Box, lengthM: number, lowestM: number, highestM: number): PlotFrame {
  const pxPerM = (box.bottom - box.top) / (highestM - lowestM);
  return {
    box,
    lengthM,
    lowestM,
    highestM,
    pxPerM,
    xOf: (distanceM) => FIRST_COLUMN_PX + distanceM * computePxPerPathM(lengthM),
    yOf: (heightM) => box.bottom - (heightM - lowestM) * pxPerM,
  };
}

/** Ratio of slopes in the picture to slopes of the land. */
export function computeSteepness({ pxPerM, lengthM }: PlotFrame): number {
  return pxPerM / computePxPerPathM(lengthM);
}

function computePxPerPathM(lengthM: number): number {
  return (COLUMNS - 1) / lengthM;
}

/** Ground, growth, antennas, the first Fresnel zone and the blocking places. */
function listHeights({ frequencyGhz }: ProfileToDraw, shape: PathShape): number[] {
  const { lengthM, groundM, topM, mastTipM, cpeTipM, blocking } = shape;
  const zoneM = Array.from(groundM, (_, column) => {
    const atM = (lengthM * column) / (COLUMNS - 1);
    const radiusM = computeFirstZoneRadiusM(atM, lengthM - atM, frequencyGhz);
    return [computeLineM(shape, atM) - radiusM, computeLineM(shape, atM) + radiusM];
  });
  return [...groundM, ...topM, mastTipM, cpeTipM, ...zoneM.flat(), ...blocking.map(({ heightM }) => heightM)];
}
