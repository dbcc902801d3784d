import { RAD_PER_DEG } from "@fellmark/units";
import type { SKRSContext2D } from "@napi-rs/canvas";
import { css, INK, PAPER } from "./map-colours.ts";
import { mapFont } from "./map-font.ts";

const MAST_RADIUS = 6;
const TICK = { from: 8, to: 30, head: 7 };

/** A mast at a place of the picture, with the azimuths of its sectors. */
export interface MastMark {
  id: string;
  x: number;
  y: number;
  azimuthsDeg: number[];
}

/** Draws a mast: an arrow along each sector's azimuth, a dot, and the name on the side with fewer arrows. */
export function drawMast(context: SKRSContext2D, mast: MastMark, width: number): void {
  for (const azimuthDeg of mast.azimuthsDeg) {
    drawArrow(context, mast, azimuthDeg, 5, css(PAPER));
    drawArrow(context, mast, azimuthDeg, 2.2, css(INK));
  }
  context.beginPath();
  context.arc(mast.x, mast.y, MAST_RADIUS, 0, 2 * Math.PI);
  context.fillStyle = css(PAPER);
  context.fill();
  context.lineWidth = 2.5;
  context.strokeStyle = css(INK);
  context.stroke();
  context.beginPath();
  context.arc(mast.x, mast.y, 2, 0, 2 * Math.PI);
  context.fillStyle = css(INK);
  context.fill();
  drawName(context, mast, width);
}

function drawArrow(context: SKRSContext2D, mast: MastMark, azimuthDeg: number, lineWidth: number, style: string): void {
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

function drawName(context: SKRSContext2D, mast: MastMark, width: number): void {
  const eastward = mast.azimuthsDeg.reduce((sum, azimuthDeg) => sum + Math.sin(azimuthDeg * RAD_PER_DEG), 0);
  context.font = mapFont(15, "bold");
  context.textBaseline = "middle";
  const textWidth = context.measureText(mast.id).width;
  const room = TICK.from + 6;
  const isEast = mast.x + room + textWidth < width && (eastward <= 1e-9 || mast.x - room - textWidth < 0);
  const x = isEast ? mast.x + room : mast.x - room - textWidth;
  drawHaloText(context, mast.id, x, mast.y);
}

/** An arrow with an N, its top at (x, y). */
export function drawNorthArrow(context: SKRSContext2D, x: number, y: number): void {
  context.beginPath();
  context.moveTo(x, y);
  context.lineTo(x + 8, y + 24);
  context.lineTo(x, y + 19);
  context.lineTo(x - 8, y + 24);
  context.closePath();
  context.lineJoin = "round";
  context.lineWidth = 4;
  context.strokeStyle = css(PAPER);
  context.stroke();
  context.fillStyle = css(INK);
  context.fill();
  context.font = mapFont(14, "bold");
  context.textBaseline = "middle";
  drawHaloText(context, "N", x - context.measureText("N").width / 2, y + 35);
}

function drawHaloText(context: SKRSContext2D, text: string, x: number, y: number): void {
  context.lineJoin = "round";
  context.lineWidth = 4;
  context.strokeStyle = css(PAPER);
  context.strokeText(text, x, y);
  context.fillStyle = css(INK);
  context.fillText(text, x, y);
}
