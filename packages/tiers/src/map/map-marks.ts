import { type DrawingContext, toCanvasFont, toCss } from "@fellmark/picture";
import { normaliseSignedDeg, RAD_PER_DEG } from "@fellmark/units";
import { INK, PAPER } from "./map-colours.ts";
import { PAGE_WIDTH } from "./map-legend.ts";

const MAST_RADIUS = 6;
const TICK = { from: 8, to: 30, head: 7 };
const NAME_DISTANCE = 14;

/** A mast at a place of the picture, with the azimuths of its sectors. */
export interface MastMark {
  id: string;
  x: number;
  y: number;
  azimuthsDeg: number[];
}

/** Draws a mast: an arrow along each sector's azimuth, a dot, and the name beside them. */
export function drawMast(context: DrawingContext, mast: MastMark): void {
  for (const azimuthDeg of mast.azimuthsDeg) {
    drawArrow(context, mast, azimuthDeg, 5, toCss(PAPER));
    drawArrow(context, mast, azimuthDeg, 2.2, toCss(INK));
  }
  context.beginPath();
  context.arc(mast.x, mast.y, MAST_RADIUS, 0, 2 * Math.PI);
  context.fillStyle = toCss(PAPER);
  context.fill();
  context.lineWidth = 2.5;
  context.strokeStyle = toCss(INK);
  context.stroke();
  context.beginPath();
  context.arc(mast.x, mast.y, 2, 0, 2 * Math.PI);
  context.fillStyle = toCss(INK);
  context.fill();
  drawName(context, mast);
}

function drawArrow(
  context: DrawingContext,
  mast: MastMark,
  azimuthDeg: number,
  lineWidth: number,
  style: string,
): void {
  context.save();
  context.translate(mast.x, mast.y);
  context.rotate(azimuthDeg * RAD_PER_DEG);
  context.beginPath();
  context.moveTo(0, -TICK.from);
  context.lineTo(0, -TICK.to);
  context.moveTo(-TICK.head * 0.6, -TICK.to + TICK.head);
  context.lineTo(0, -TICK.to);
  context.lineTo(TICK.head * 0.6, -TICK.to + TICK.head);
  context.lineWidth = lineWidth;
  context.lineCap = "round";
  context.lineJoin = "round";
  context.strokeStyle = style;
  context.stroke();
  context.restore();
}

/** Writes the name east, west, south or north of the mast: the first side with room and no arrow near. */
function drawName(context: DrawingContext, mast: MastMark): void {
  context.font = toCanvasFont(15, "bold");
  context.textBaseline = "middle";
  const textWidth = context.measureText(mast.id).width;
  const places = [
    { azimuthDeg: 90, x: mast.x + NAME_DISTANCE, y: mast.y },
    { azimuthDeg: 270, x: mast.x - NAME_DISTANCE - textWidth, y: mast.y },
    { azimuthDeg: 180, x: mast.x - textWidth / 2, y: mast.y + NAME_DISTANCE + 8 },
    { azimuthDeg: 0, x: mast.x - textWidth / 2, y: mast.y - NAME_DISTANCE - 8 },
  ];
  const fitting = places.filter(({ x }) => x >= 0 && x + textWidth <= PAGE_WIDTH);
  const isClear = (sideDeg: number) =>
    mast.azimuthsDeg.every((arrowDeg) => Math.abs(normaliseSignedDeg(arrowDeg - sideDeg)) > 45);
  const { x, y } = fitting.find((place) => isClear(place.azimuthDeg)) ?? fitting[0] ?? places[0];
  drawHaloText(context, mast.id, x, y);
}

/** Draws a closed line of x, y, dashed over a halo. */
export function drawOutline(context: DrawingContext, line: readonly [number, number][]): void {
  context.beginPath();
  for (const [x, y] of line) context.lineTo(x, y);
  context.closePath();
  context.lineWidth = 4;
  context.strokeStyle = toCss(PAPER);
  context.stroke();
  context.setLineDash([9, 6]);
  context.lineWidth = 2;
  context.strokeStyle = toCss(INK);
  context.stroke();
  context.setLineDash([]);
}

/** An arrow with an N, its top at (x, y). */
export function drawNorthArrow(context: DrawingContext, x: number, y: number): void {
  context.beginPath();
  context.moveTo(x, y);
  context.lineTo(x + 8, y + 24);
  context.lineTo(x, y + 19);
  context.lineTo(x - 8, y + 24);
  context.closePath();
  context.lineJoin = "round";
  context.lineWidth = 4;
  context.strokeStyle = toCss(PAPER);
  context.stroke();
  context.fillStyle = toCss(INK);
  context.fill();
  context.font = toCanvasFont(14, "bold");
  context.textBaseline = "middle";
  drawHaloText(context, "N", x - context.measureText("N").width / 2, y + 35);
}

function drawHaloText(context: DrawingContext, text: string, x: number, y: number): void {
  context.lineJoin = "round";
  context.lineWidth = 4;
  context.strokeStyle = toCss(PAPER);
  context.strokeText(text, x, y);
  context.fillStyle = toCss(INK);
  context.fillText(text, x, y);
}
