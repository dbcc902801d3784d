import type { Mark } from "../display-list.ts";
import { measureTextPx } from "../fit-text.ts";
import type { PathShape } from "./path-shape.ts";
import { type Box, type PlotFrame, toColumnX } from "./plot-frame.ts";

const HATCH_PERIOD_PX = 9;
const DOT_PERIOD_PX = 4;
export const DOT_RADIUS_PX = 0.9;

/** Words in a gap of the ground, and the least room between two of them. */
const NOT_KNOWN = "not known";
const NOT_KNOWN_LETTERS = { sizePx: 12 };
const WORDS_APART_PX = 18;

/** Columns from `start` to before `end`. */
interface Run {
  start: number;
  end: number;
}

/** Ground as a line over a hatch, what stands on it as dots, and broken lines at both sides of gaps; cut at the box. */
export function drawGround(shape: PathShape, { box, yOf }: PlotFrame): Mark[] {
  const held = (heightM: number) => Math.min(box.bottom, Math.max(box.top, yOf(heightM)));
  const groundY = shape.groundM.map(held);
  const topY = shape.topM.map(held);
  const isShown = (column: number) => groundY[column] > box.top && groundY[column] < box.bottom;
  const sides = findGaps(shape).flatMap(({ start, end }) => [start - 0.5, end - 0.5].map(toColumnX));
  return [
    { kind: "path", lines: drawHatch(groundY, box), stroke: "hatch", widthPx: 1 },
    { kind: "dots", centres: drawGrowth(groundY, topY), radiusPx: DOT_RADIUS_PX, fill: "growth" },
    {
      kind: "path",
      lines: findRuns(groundY.length, isShown).map((run) => drawOutline(groundY, run)),
      stroke: "ground",
      widthPx: 1.8,
    },
    { kind: "path", lines: sides.map((x) => [x, box.top, x, box.bottom]), stroke: "faint", widthPx: 1, dash: [2, 3] },
  ];
}

function findGaps({ groundM }: PathShape): Run[] {
  return findRuns(groundM.length, (column) => Number.isNaN(groundM[column]));
}

function findRuns(count: number, isIn: (column: number) => boolean): Run[] {
  const runs: Run[] = [];
  for (let column = 0; column < count; column++) {
    if (!isIn(column)) continue;
    const last = runs.at(-1);
    if (last?.end === column) last.end++;
    else runs.push({ start: column, end: column + 1 });
  }
  return runs;
}

/** The line over a run, up to what lies beside it, else half a column beyond it, so that a single column shows. */
function drawOutline(y: Float64Array, { start, end }: Run): number[] {
  const shown = Array.from(y.subarray(start, end), (at, index) => [toColumnX(start + index), at]).flat();
  const before = y[start - 1] >= 0 ? [start - 1, y[start - 1]] : [start - 0.5, y[start]];
  const after = y[end] >= 0 ? [end, y[end]] : [end - 0.5, y[end - 1]];
  return [toColumnX(before[0]), before[1], ...shown, toColumnX(after[0]), after[1]];
}

/** Rising lines under the ground, down to the foot of the box. A column has one point of each line, or none. */
function drawHatch(groundY: Float64Array, { top, bottom }: Box): number[][] {
  const lines: number[][] = [];
  for (let foot = top - bottom; foot < groundY.length; foot += HATCH_PERIOD_PX) {
    const yAt = (column: number) => bottom - (column - foot);
    const isUnderGround = (column: number) => yAt(column) <= bottom && yAt(column) >= groundY[column];
    for (const { start, end } of findRuns(groundY.length, isUnderGround)) {
      lines.push([toColumnX(start), yAt(start), toColumnX(end - 0.5), yAt(end - 0.5)]);
    }
  }
  return lines;
}

/** Dots from the ground up to the top of what stands there, every other column higher by half a period. */
function drawGrowth(groundY: Float64Array, topY: Float64Array): number[] {
  const centres: number[] = [];
  for (let column = 0; column < groundY.length; column += DOT_PERIOD_PX) {
    const shift = (column / DOT_PERIOD_PX) % 2 === 0 ? 0 : DOT_PERIOD_PX / 2;
    for (let y = groundY[column] - 2.5 - shift; y >= topY[column]; y -= DOT_PERIOD_PX) {
      centres.push(toColumnX(column), y);
    }
  }
  return centres;
}

/** Words in as many gaps as have room for them; the first always has. */
export function drawGapWords(shape: PathShape, { box }: PlotFrame): Mark[] {
  const words: Mark[] = [];
  const widthPx = measureTextPx(NOT_KNOWN, NOT_KNOWN_LETTERS) + WORDS_APART_PX;
  let freeFrom = Number.NEGATIVE_INFINITY;
  for (const { start, end } of findGaps(shape)) {
    const middle = (start + end - 1) / 2;
    if (middle < freeFrom) continue;
    const isUpright = end - start < widthPx;
    words.push({
      kind: "text",
      x: toColumnX(middle) + (isUpright ? 4 : 0),
      y: box.bottom - (isUpright ? 8 : 30),
      text: NOT_KNOWN,
      ...NOT_KNOWN_LETTERS,
      ink: "faint",
      anchor: isUpright ? "start" : "middle",
      hasHalo: true,
      isUpright,
    });
    freeFrom = middle + (isUpright ? WORDS_APART_PX : widthPx);
  }
  return words;
}
