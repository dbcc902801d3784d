import type { Mark } from "../display-list.ts";
import { textWidthPx } from "../fit-text.ts";
import type { PathShape } from "./path-shape.ts";
import { PLOT, type PlotFrame, xOfColumn } from "./plot-frame.ts";

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

/** Ground as a line over a hatch, what stands on it as dots, and gaps that say that nothing is known. */
export function groundMarks(shape: PathShape, frame: PlotFrame): Mark[] {
  const groundY = shape.groundM.map(frame.yOf);
  const topY = shape.topM.map(frame.yOf);
  const isKnown = (column: number) => !Number.isNaN(groundY[column]);
  const runs = runsWhere(groundY.length, isKnown);
  const gaps = runsWhere(groundY.length, (column) => !isKnown(column));
  return [
    { kind: "path", lines: hatch(groundY), stroke: "hatch", widthPx: 1 },
    { kind: "dots", centres: growthDots(groundY, topY), radiusPx: DOT_RADIUS_PX, fill: "growth" },
    { kind: "path", lines: runs.map((run) => outline(groundY, run)), stroke: "ground", widthPx: 1.8 },
    ...gapMarks(gaps),
  ];
}

function runsWhere(count: number, isIn: (column: number) => boolean): Run[] {
  const runs: Run[] = [];
  for (let column = 0; column < count; column++) {
    if (!isIn(column)) continue;
    const last = runs.at(-1);
    if (last?.end === column) last.end++;
    else runs.push({ start: column, end: column + 1 });
  }
  return runs;
}

/** The line over a run, half a column beyond it at both ends, so that a single column shows. */
function outline(y: Float64Array, { start, end }: Run): number[] {
  const middle = Array.from(y.subarray(start, end), (at, index) => [xOfColumn(start + index), at]).flat();
  return [xOfColumn(start - 0.5), y[start], ...middle, xOfColumn(end - 0.5), y[end - 1]];
}

/** Rising lines under the ground, down to the foot of the plot. A column has one point of each line, or none. */
function hatch(groundY: Float64Array): number[][] {
  const lines: number[][] = [];
  const reach = groundY.length + PLOT.bottom - PLOT.top;
  for (let foot = -(PLOT.bottom - PLOT.top); foot < reach; foot += HATCH_PERIOD_PX) {
    const isUnderGround = (column: number) => {
      const y = PLOT.bottom - (column - foot);
      return y <= PLOT.bottom && y >= groundY[column];
    };
    for (const { start, end } of runsWhere(groundY.length, isUnderGround)) {
      lines.push([
        xOfColumn(start),
        PLOT.bottom - (start - foot),
        xOfColumn(end - 0.5),
        PLOT.bottom - (end - 0.5 - foot),
      ]);
    }
  }
  return lines;
}

/** Dots from the ground up to the top of what stands there, every other column higher by half a period. */
function growthDots(groundY: Float64Array, topY: Float64Array): number[] {
  const centres: number[] = [];
  for (let column = 0; column < groundY.length; column += DOT_PERIOD_PX) {
    const shift = (column / DOT_PERIOD_PX) % 2 === 0 ? 0 : DOT_PERIOD_PX / 2;
    for (let y = groundY[column] - 2.5 - shift; y >= topY[column]; y -= DOT_PERIOD_PX) {
      centres.push(xOfColumn(column), y);
    }
  }
  return centres;
}

/** A broken line at both sides of each gap, and words in as many as have room for them; the first always has. */
function gapMarks(gaps: Run[]): Mark[] {
  const sides = gaps.flatMap(({ start, end }) => [start - 0.5, end - 0.5].map(xOfColumn));
  const lines = sides.map((x) => [x, PLOT.top, x, PLOT.bottom]);
  const words: Mark[] = [];
  let freeFrom = Number.NEGATIVE_INFINITY;
  for (const { start, end } of gaps) {
    const middle = (start + end - 1) / 2;
    if (middle < freeFrom) continue;
    const widthPx = textWidthPx(NOT_KNOWN, NOT_KNOWN_LETTERS) + WORDS_APART_PX;
    const isUpright = end - start < widthPx;
    words.push({
      kind: "text",
      x: xOfColumn(middle) + (isUpright ? 4 : 0),
      y: PLOT.bottom - (isUpright ? 8 : 30),
      text: NOT_KNOWN,
      ...NOT_KNOWN_LETTERS,
      ink: "faint",
      anchor: isUpright ? "start" : "middle",
      hasHalo: true,
      isUpright,
    });
    freeFrom = middle + (isUpright ? WORDS_APART_PX : widthPx);
  }
  return [{ kind: "path", lines, stroke: "faint", widthPx: 1, dash: [2, 3] }, ...words];
}
