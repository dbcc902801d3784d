import type { CutPoint } from "../level-cut.ts";
import type { Refuse } from "./read-fault.ts";

export type Plane = "horizontal" | "vertical";

/** One cut of a file; levels relative to the peak of the antenna. */
export interface ReadCut {
  /** Named plane, or the angle of the cut in degrees. */
  plane: Plane | number;
  /** Port of the antenna; `isCross`: measured in the other polarisation. */
  port: 0 | 1;
  isCross: boolean;
  /** First line of the cut, for faults of the whole cut. */
  line: number;
  points: ReadPoint[];
}

export interface ReadPoint {
  line: number;
  angleDeg: number;
  levelDb: number;
}

const WIDEST_GAP_DEG = 10;
export const MOST_POINTS = 10_000;
/** Levels are written with three decimals; a larger excess over the peak is not rounding. */
const HIGHEST_LEVEL_DB = 0.05;

/**
 * Refuses a cut that is not a measurement of a whole plane: angles that do not rise, a direction twice, a level over the
 * peak, a gap over 10 degrees, half of a circle. A vertical cut, or one by angle, may end at the zenith and the nadir.
 */
export function checkCut({ plane, line, points }: ReadCut, refuse: Refuse): void {
  if (points.length < 2) refuse(line, `a cut needs 2 or more points, got ${points.length}`);
  if (points.length > MOST_POINTS) refuse(points[MOST_POINTS].line, `a cut has at most ${MOST_POINTS} points`);
  for (const [index, point] of points.entries()) checkPoint(point, points[index - 1], points[0], refuse);
  const [first, last] = [points[0], points[points.length - 1]];
  const isHalf = plane !== "horizontal" && first.angleDeg >= -90 && last.angleDeg <= 90;
  if (isHalf) {
    if (first.angleDeg > -90 + WIDEST_GAP_DEG) refuse(first.line, `the cut begins at ${first.angleDeg}, not at -90`);
    if (last.angleDeg < 90 - WIDEST_GAP_DEG) refuse(last.line, `the cut ends at ${last.angleDeg}, not at 90`);
    return;
  }
  const seamDeg = first.angleDeg + 360 - last.angleDeg;
  if (seamDeg > WIDEST_GAP_DEG) {
    refuse(last.line, `${round(seamDeg)} degrees are missing between ${last.angleDeg} and ${first.angleDeg}`);
  }
}

function checkPoint(point: ReadPoint, before: ReadPoint | undefined, first: ReadPoint, refuse: Refuse): void {
  const { line, angleDeg, levelDb } = point;
  if (angleDeg < -180 || angleDeg > 360) refuse(line, `the angle ${angleDeg} is outside -180 to 360`);
  if (levelDb > HIGHEST_LEVEL_DB) refuse(line, `the level is ${round(levelDb)} dB above the peak of the antenna`);
  if (levelDb < -200) refuse(line, `the level is ${round(-levelDb)} dB under the peak, at most 200`);
  if (before === undefined) return;
  if (angleDeg === before.angleDeg) refuse(line, `the angle ${angleDeg} occurs twice`);
  if (angleDeg < before.angleDeg) refuse(line, `angles must rise, ${angleDeg} follows ${before.angleDeg}`);
  if (angleDeg >= first.angleDeg + 360) refuse(line, `${angleDeg} is the direction of ${angleDeg - 360} again`);
  const gapDeg = angleDeg - before.angleDeg;
  if (gapDeg > WIDEST_GAP_DEG) {
    refuse(line, `a gap of ${round(gapDeg)} degrees after ${before.angleDeg}, at most ${WIDEST_GAP_DEG}`);
  }
}

function round(value: number): number {
  return Math.round(value * 100) / 100;
}

export function toCutPoints({ points }: ReadCut): CutPoint[] {
  return points.map(({ angleDeg, levelDb }) => [angleDeg, levelDb]);
}
