import { type FieldProblem, InputError, normaliseSignedDeg } from "@fellmark/units";

/** [angle in degrees, level in dB relative to the peak of the antenna] */
export type CutPoint = readonly [angleDeg: number, relativeDb: number];

/** Level along one plane, dB relative to the peak: linear in dB between the given points. */
export type LevelCut = (angleDeg: number) => number;

/**
 * Returns the level around a full circle, by any angle; the gap between the last and the first point is interpolated too.
 * @param pointer JSON pointer of the points, for the error.
 * Throws InputError that names the row: angles must rise, and no direction may occur twice (0 and 360, -180 and 180).
 * Example: from [[0, 0], [90, -20], [180, -30], [270, -20]] the level at -45 is -10.
 */
export function createCircleCut(points: readonly CutPoint[], pointer: string): LevelCut {
  checkRising(points, pointer);
  const turned = points.map(([angleDeg, levelDb]): CutPoint => [normaliseSignedDeg(angleDeg), levelDb]);
  turned.sort((a, b) => a[0] - b[0]);
  const [first, last] = [turned[0], turned[turned.length - 1]];
  const level = createInterpolator([[last[0] - 360, last[1]], ...turned, [first[0] + 360, first[1]]]);
  return (angleDeg) => level(normaliseSignedDeg(angleDeg));
}

/** Returns the level from -90 to 90 degrees, constant beyond the first and last point. Throws as createCircleCut does. */
export function createHalfCut(points: readonly CutPoint[], pointer: string): LevelCut {
  checkRising(points, pointer);
  return createInterpolator(points);
}

function checkRising(points: readonly CutPoint[], pointer: string): void {
  const problems: FieldProblem[] = [];
  if (points.length < 2) problems.push({ pointer, detail: `a cut needs 2 or more points, got ${points.length}` });
  for (let row = 1; row < points.length; row++) {
    const [angleDeg] = points[row];
    const detail = findAngleFault(angleDeg, points[row - 1][0], points[0][0]);
    if (detail) problems.push({ pointer: `${pointer}/${row}`, detail });
  }
  if (problems.length > 0) throw new InputError(problems);
}

function findAngleFault(angleDeg: number, beforeDeg: number, firstDeg: number): string | null {
  if (angleDeg === beforeDeg) return `the angle ${angleDeg} occurs twice`;
  if (!(angleDeg > beforeDeg)) return `angles must rise, ${angleDeg} follows ${beforeDeg}`;
  if (angleDeg >= firstDeg + 360) return `the angle ${angleDeg} is the direction of ${angleDeg - 360} again`;
  return null;
}

function createInterpolator(points: readonly CutPoint[]): LevelCut {
  const angles = Float64Array.from(points, ([angleDeg]) => angleDeg);
  const levels = Float64Array.from(points, ([, levelDb]) => levelDb);
  const last = angles.length - 1;
  return (angleDeg) => {
    if (angleDeg <= angles[0]) return levels[0];
    if (angleDeg >= angles[last]) return levels[last];
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (angles[middle] <= angleDeg) low = middle;
      else high = middle;
    }
    const share = (angleDeg - angles[low]) / (angles[high] - angles[low]);
    return levels[low] + share * (levels[high] - levels[low]);
  };
}
