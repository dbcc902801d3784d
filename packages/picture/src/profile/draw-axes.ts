import type { Mark } from "../display-list.ts";
import { PLOT, type PlotFrame } from "./plot-frame.ts";
import { roundTicks } from "./ticks.ts";

const LABEL = { kind: "text", sizePx: 12, ink: "faint" } as const;

/** Shorter paths have their distances in metres. */
const FIRST_IN_KM_M = 2_000;

/** Heights on the left, with lines across; distances from the mast below. */
export function axisMarks({ lengthM, lowestM, highestM, hasHeights, xOf, yOf }: PlotFrame): Mark[] {
  const heightsM = hasHeights ? roundTicks(lowestM, highestM, 6) : [];
  const distancesM = roundTicks(0, lengthM, 8);
  return [
    {
      kind: "path",
      lines: heightsM.map((heightM) => [PLOT.left, yOf(heightM), PLOT.right, yOf(heightM)]),
      stroke: "grid",
      widthPx: 1,
    },
    {
      kind: "path",
      lines: distancesM.map((distanceM) => [xOf(distanceM), PLOT.bottom, xOf(distanceM), PLOT.bottom + 5]),
      stroke: "faint",
      widthPx: 1,
    },
    { kind: "path", lines: [[PLOT.left, PLOT.bottom, PLOT.right, PLOT.bottom]], stroke: "faint", widthPx: 1 },
    ...heightsM.map(
      (heightM): Mark => ({ ...LABEL, x: PLOT.left - 8, y: yOf(heightM) + 4, text: `${heightM} m`, anchor: "end" }),
    ),
    ...distancesM.map(
      (distanceM): Mark => ({
        ...LABEL,
        x: xOf(distanceM),
        y: PLOT.bottom + 19,
        text: lengthM < FIRST_IN_KM_M ? `${distanceM} m` : `${distanceM / 1000} km`,
        anchor: "middle",
      }),
    ),
  ];
}
