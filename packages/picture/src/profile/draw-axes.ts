import type { Mark } from "../display-list.ts";
import type { PlotFrame } from "./plot-frame.ts";
import { listRoundTicks } from "./ticks.ts";

const LABEL = { kind: "text", sizePx: 12, ink: "faint" } as const;

/** Shorter paths have their distances in metres. */
const FIRST_IN_KM_M = 2_000;

/** Heights on the left, with lines across. */
export function drawHeightAxis({ box, lowestM, highestM, yOf }: PlotFrame, mostTicks: number): Mark[] {
  const heightsM = listRoundTicks(lowestM, highestM, mostTicks);
  return [
    {
      kind: "path",
      lines: heightsM.map((heightM) => [box.left, yOf(heightM), box.right, yOf(heightM)]),
      stroke: "grid",
      widthPx: 1,
    },
    ...heightsM.map(
      (heightM): Mark => ({ ...LABEL, x: box.left - 8, y: yOf(heightM) + 4, text: `${heightM} m`, anchor: "end" }),
    ),
  ];
}

/** Distances from the mast, below. */
export function drawDistanceAxis({ box, lengthM, xOf }: PlotFrame): Mark[] {
  const distancesM = listRoundTicks(0, lengthM, 8);
  const ticks = distancesM.map((distanceM) => [xOf(distanceM), box.bottom, xOf(distanceM), box.bottom + 5]);
  return [
    { kind: "path", lines: [findFoot(box), ...ticks], stroke: "faint", widthPx: 1 },
    ...distancesM.map(
      (distanceM): Mark => ({
        ...LABEL,
        x: xOf(distanceM),
        y: box.bottom + 19,
        text: lengthM < FIRST_IN_KM_M ? `${distanceM} m` : `${distanceM / 1000} km`,
        anchor: "middle",
      }),
    ),
  ];
}

/** The line at the foot of a box. */
export function findFoot({ left, right, bottom }: PlotFrame["box"]): number[] {
  return [left, bottom, right, bottom];
}
