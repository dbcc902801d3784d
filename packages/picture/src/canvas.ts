import { createCanvas, type SKRSContext2D } from "@napi-rs/canvas";
import type { Rgb } from "./colour.ts";
import { registerFont } from "./font.ts";
import { encodeIndexedPng } from "./indexed-png.ts";
import { findNearestIndices } from "./quantise.ts";

/** Canvas to draw on; its letters are those of `toCanvasFont`. */
export type DrawingContext = SKRSContext2D;

/** An empty, transparent canvas. */
export function createDrawing(widthPx: number, heightPx: number): DrawingContext {
  registerFont();
  return createCanvas(widthPx, heightPx).getContext("2d");
}

/**
 * The drawing as a PNG in the nearest of at most 256 colours. The same drawing has the same bytes on one version of the
 * canvas.
 */
export function toIndexedPng(context: DrawingContext, palette: readonly Rgb[]): Promise<Buffer> {
  const { width, height } = context.canvas;
  const rgba = context.getImageData(0, 0, width, height).data;
  return encodeIndexedPng(width, palette, findNearestIndices(rgba, palette));
}
