import { createDrawing, type DrawingContext, toIndexedPng } from "./canvas.ts";
import { mix, type Rgb, toCss } from "./colour.ts";
import { type DotsMark, type Drawing, HALO_PX, INKS, type Mark, type PathMark, type TextMark } from "./display-list.ts";
import { toCanvasFont } from "./font.ts";

/** Pixels of the PNG along one px of the drawing: small letters stay sharp on dense screens and on paper. */
const PIXELS_PER_PX = 2;

/** Steps from paper to each ink, for smooth edges. */
const STEPS = 24;

/** A drawing as an indexed PNG; the same drawing has the same bytes on one version of the canvas. */
export function renderPng({ widthPx, heightPx, marks }: Drawing): Promise<Buffer> {
  const context = createDrawing(Math.round(widthPx * PIXELS_PER_PX), Math.round(heightPx * PIXELS_PER_PX));
  context.scale(PIXELS_PER_PX, PIXELS_PER_PX);
  context.fillStyle = toCss(INKS.paper);
  context.fillRect(0, 0, widthPx, heightPx);
  context.lineJoin = "round";
  for (const mark of marks) paint(context, mark);
  return toIndexedPng(context, buildPalette());
}

function buildPalette(): Rgb[] {
  const steps = Array.from({ length: STEPS }, (_, step) => (step + 1) / STEPS);
  const inks: Rgb[] = Object.values(INKS).slice(1);
  return [INKS.paper, ...inks.flatMap((ink) => steps.map((share) => mix(INKS.paper, ink, share)))];
}

function paint(context: DrawingContext, mark: Mark): void {
  if (mark.kind === "path") paintPath(context, mark);
  else if (mark.kind === "dots") paintDots(context, mark);
  else paintText(context, mark);
}

function paintPath(context: DrawingContext, { lines, stroke, widthPx, dash, isClosed }: PathMark): void {
  context.beginPath();
  for (const line of lines) {
    context.moveTo(line[0], line[1]);
    for (let at = 2; at < line.length; at += 2) context.lineTo(line[at], line[at + 1]);
    if (isClosed) context.closePath();
  }
  context.setLineDash(dash ?? []);
  context.lineWidth = widthPx;
  context.strokeStyle = toCss(INKS[stroke]);
  context.stroke();
}

function paintDots(context: DrawingContext, { centres, radiusPx, fill, stroke }: DotsMark): void {
  context.beginPath();
  for (let at = 0; at < centres.length; at += 2) {
    context.moveTo(centres[at] + radiusPx, centres[at + 1]);
    context.arc(centres[at], centres[at + 1], radiusPx, 0, 2 * Math.PI);
  }
  context.fillStyle = toCss(INKS[fill]);
  context.fill();
  if (stroke === undefined) return;
  context.setLineDash([]);
  context.lineWidth = 1.5;
  context.strokeStyle = toCss(INKS[stroke]);
  context.stroke();
}

function paintText(context: DrawingContext, mark: TextMark): void {
  context.save();
  context.translate(mark.x, mark.y);
  if (mark.isUpright) context.rotate(-Math.PI / 2);
  context.font = toCanvasFont(mark.sizePx, mark.weight);
  context.textAlign = mark.anchor === "middle" ? "center" : (mark.anchor ?? "start");
  if (mark.hasHalo) {
    context.setLineDash([]);
    context.lineWidth = HALO_PX;
    context.strokeStyle = toCss(INKS.paper);
    context.strokeText(mark.text, 0, 0);
  }
  context.fillStyle = toCss(INKS[mark.ink]);
  context.fillText(mark.text, 0, 0);
  context.restore();
}
