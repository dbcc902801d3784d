export { type DrawingContext, newDrawing, toIndexedPng } from "./canvas.ts";
export { css, mix, type Rgb, rounded } from "./colour.ts";
export { font } from "./font.ts";
