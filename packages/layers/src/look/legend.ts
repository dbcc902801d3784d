import { createDrawing, mix, toCanvasFont, toCss, toIndexedPng } from "@fellmark/picture";
import { TIER_CLASS } from "@fellmark/tiers";
import type { LayerFacts, LayerRaster } from "../layer-raster.ts";
import { hasInk, type LayerClass, listLayerClasses } from "./layer-classes.ts";

/** Texts wider than this are squeezed in the PNG and cut in the SVG. */
const MOST_WIDTH_PX = 900;
const MARGIN_PX = 16;
const ROW_PX = 24;
const SWATCH = { width: 32, height: 16 };
const PAPER: LayerClass["ink"] = [255, 255, 255];
const INK: LayerClass["ink"] = [27, 36, 48];

/** Pixels of the PNG along one px of the legend: letters stay sharp on dense screens. */
const PIXELS_PER_PX = 2;

/** Entries of a legend: classes that occur in the layer, then "not known" whether it occurs or not. */
function listLegendClasses({ plans, levels: [{ classes }] }: LayerRaster): LayerClass[] {
  const occurs = new Set(classes);
  return listLayerClasses(plans).filter(
    ({ value, kind }) => kind === "plan" || value === TIER_CLASS.notKnown || occurs.has(value),
  );
}

/** Lines under the entries: what a reader must know before a promise is made. */
export function formatFacts(facts: LayerFacts): string[] {
  const { validFrom, validUntil, cpeHeightAglM, confidence, availability, attribution } = facts;
  return [
    `Valid from ${validFrom}${validUntil === null ? "" : ` until ${validUntil}`}`,
    `Subscriber radio (CPE) ${cpeHeightAglM} m above ground`,
    `Confidence ${toPercent(confidence)}, availability ${toPercent(availability)}`,
    attribution,
  ].filter((line) => line !== "");
}

function toPercent(share: number): string {
  return `${Number((100 * share).toFixed(3))} %`;
}

/** A legend as rectangles and lines of text, in px from its upper left corner. */
interface LegendDrawing {
  widthPx: number;
  heightPx: number;
  boxes: { x: number; y: number; width: number; height: number; colour: LayerClass["ink"] }[];
  texts: { x: number; y: number; text: string; sizePx: number; isBold: boolean }[];
}

function layOut(raster: LayerRaster, facts: LayerFacts): LegendDrawing {
  const boxes: LegendDrawing["boxes"] = [];
  const texts = [{ x: MARGIN_PX, y: MARGIN_PX + 14, text: facts.title, sizePx: 15, isBold: true }];
  let y = MARGIN_PX + 26;
  for (const one of listLegendClasses(raster)) {
    boxes.push(...drawSwatch(one, MARGIN_PX, y));
    texts.push({ x: MARGIN_PX + SWATCH.width + 10, y: y + 13, text: one.label, sizePx: 13, isBold: false });
    y += ROW_PX;
  }
  for (const text of formatFacts(facts)) {
    y += 16;
    texts.push({ x: MARGIN_PX, y, text, sizePx: 11, isBold: false });
  }
  return { widthPx: measureWidthPx(texts), heightPx: y + MARGIN_PX, boxes, texts };
}

function measureWidthPx(texts: LegendDrawing["texts"]): number {
  const context = createDrawing(1, 1);
  const ends = texts.map(({ x, text, sizePx, isBold }) => {
    context.font = toCanvasFont(sizePx, isBold ? "bold" : "normal");
    return x + context.measureText(text).width;
  });
  return Math.min(MOST_WIDTH_PX, Math.ceil(Math.max(...ends)) + MARGIN_PX);
}

/** The fill on paper in an outline of ink, and each run of the pattern's ink as a box. */
function drawSwatch(one: LayerClass, x: number, y: number): LegendDrawing["boxes"] {
  const { width, height } = SWATCH;
  const boxes = [
    { x: x - 1, y: y - 1, width: width + 2, height: height + 2, colour: INK },
    { x, y, width, height, colour: mix(PAPER, one.fill, one.opacity) },
  ];
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; ) {
      const start = column;
      while (column < width && hasInk(one, column, row)) column++;
      if (column > start) boxes.push({ x: x + start, y: y + row, width: column - start, height: 1, colour: one.ink });
      column++;
    }
  }
  return boxes;
}

/** The legend as an SVG that refers to nothing outside of it; text is escaped. */
export function renderLegendSvg(raster: LayerRaster, facts: LayerFacts): string {
  const { widthPx, heightPx, boxes, texts } = layOut(raster, facts);
  const size = `viewBox="0 0 ${widthPx} ${heightPx}" width="${widthPx}" height="${heightPx}"`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" ${size} role="img" font-family="DejaVu Sans, Verdana, sans-serif">`,
    `<title>${escapeXml(facts.title)}</title>`,
    `<rect width="${widthPx}" height="${heightPx}" fill="${toCss(PAPER)}"/>`,
    ...boxes.map(
      ({ x, y, width, height, colour }) =>
        `<rect x="${x}" y="${y}" width="${width}" height="${height}" fill="${toCss(colour)}"/>`,
    ),
    ...texts.map(
      ({ x, y, text, sizePx, isBold }) =>
        `<text x="${x}" y="${y}" font-size="${sizePx}"${isBold ? ' font-weight="bold"' : ""} fill="${toCss(INK)}">${escapeXml(text)}</text>`,
    ),
    "</svg>\n",
  ].join("\n");
}

/** The legend as a PNG; the same legend has the same bytes on one version of the canvas. */
export function renderLegendPng(raster: LayerRaster, facts: LayerFacts): Promise<Buffer> {
  const { widthPx, heightPx, boxes, texts } = layOut(raster, facts);
  const context = createDrawing(widthPx * PIXELS_PER_PX, heightPx * PIXELS_PER_PX);
  context.scale(PIXELS_PER_PX, PIXELS_PER_PX);
  context.fillStyle = toCss(PAPER);
  context.fillRect(0, 0, widthPx, heightPx);
  for (const { x, y, width, height, colour } of boxes) {
    context.fillStyle = toCss(colour);
    context.fillRect(x, y, width, height);
  }
  context.fillStyle = toCss(INK);
  for (const { x, y, text, sizePx, isBold } of texts) {
    context.font = toCanvasFont(sizePx, isBold ? "bold" : "normal");
    context.fillText(text, x, y, widthPx - x - MARGIN_PX);
  }
  return toIndexedPng(context, buildLegendPalette(boxes));
}

/** Colours of the boxes, and 16 steps from paper to ink for the edges of letters. */
function buildLegendPalette(boxes: LegendDrawing["boxes"]): LayerClass["ink"][] {
  const distinct = new Map(boxes.map(({ colour }) => [colour.join(), colour]));
  return [...distinct.values(), ...Array.from({ length: 16 }, (_, step) => mix(PAPER, INK, step / 15))];
}

const ENTITIES: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&apos;" };

/** Text as XML and HTML take it. */
export function escapeXml(text: string): string {
  return text.replace(/[&<>"']/g, (character) => ENTITIES[character]);
}

/** The legend for programs: label, colour as #rrggbb, opacity and pattern of each class, and the facts. */
export function buildLegendJson(raster: LayerRaster, facts: LayerFacts) {
  return {
    ...facts,
    classes: listLegendClasses(raster).map(({ kind, plan, label, fill, opacity, pattern, ink }) => ({
      class: kind,
      plan: plan?.id ?? null,
      downMbps: plan?.downMbps ?? null,
      upMbps: plan?.upMbps ?? null,
      label,
      fill: toHex(fill),
      opacity,
      pattern,
      ink: toHex(ink),
    })),
  };
}

export function toHex(colour: LayerClass["ink"]): string {
  return `#${colour.map((part) => part.toString(16).padStart(2, "0")).join("")}`;
}
