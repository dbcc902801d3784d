import type { Mark } from "../display-list.ts";
import { drawNumber } from "./draw-path.ts";
import { formatTenths } from "./draw-words.ts";
import { pickNumberedPlaces } from "./path-shape.ts";
import { PLOT } from "./plot-frame.ts";
import type { ProfileToDraw } from "./profile-to-draw.ts";

/** Baseline of the first row, px from where the table begins. */
const FIRST_Y = 20;
const ROW_PX = 21;
const ROWS_A_BLOCK = 4;
const BLOCK_PX = 420;

/** Right edges of the figures, from the left of a block. */
const COLUMN_ENDS_PX = [140, 255, 375];
const HEADINGS = ["from the mast", "above sea level", "above the line"];
const LETTERS = { kind: "text", sizePx: 12 } as const;

/** Table of the numbered places, if any, with the height at which it ends. */
export function drawTable({ blocking }: ProfileToDraw, top: number): { marks: Mark[]; bottom: number } {
  const firstY = top + FIRST_Y;
  const places = pickNumberedPlaces(blocking);
  if (places.length === 0) return { marks: [], bottom: top };
  const rows = Math.min(ROWS_A_BLOCK, places.length);
  const blocks = Math.ceil(places.length / ROWS_A_BLOCK);
  const left = (place: number) => PLOT.left + Math.floor(place / ROWS_A_BLOCK) * BLOCK_PX;
  const marks = [
    ...Array.from({ length: blocks }, (_, block) =>
      drawRow(HEADINGS, left(block * ROWS_A_BLOCK), firstY, "faint"),
    ).flat(),
    ...places.flatMap(({ distanceM, heightAmslM, excessM }, index) => {
      const y = firstY + (1 + (index % ROWS_A_BLOCK)) * ROW_PX;
      const over = excessM < 0 ? `${formatTenths(-excessM)} m below` : `${formatTenths(excessM)} m`;
      const cells = [formatDistance(distanceM), `${Math.round(heightAmslM) + 0} m`, over];
      return [...drawNumber(index + 1, left(index) + 9, y - 4), ...drawRow(cells, left(index), y, "ink")];
    }),
    ...drawMore(blocking.length - places.length, firstY + (rows + 1) * ROW_PX),
  ];
  const bottom = firstY + (rows + (blocking.length > places.length ? 1 : 0)) * ROW_PX + 8;
  return { marks, bottom };
}

function drawRow(cells: string[], left: number, y: number, ink: "ink" | "faint"): Mark[] {
  return cells.map((text, column) => ({ ...LETTERS, x: left + COLUMN_ENDS_PX[column], y, text, ink, anchor: "end" }));
}

function drawMore(more: number, y: number): Mark[] {
  if (more <= 0) return [];
  const text = `and ${more} more that rise${more === 1 ? "s" : ""} less above the line`;
  return [{ ...LETTERS, x: PLOT.left, y, text, ink: "ink" }];
}

function formatDistance(distanceM: number): string {
  return distanceM < 1000 ? `${Math.round(distanceM)} m` : `${(distanceM / 1000).toFixed(2)} km`;
}
