import {
  computeNormalRadiusM,
  countWorldCells,
  type LatticeWindow,
  toLatitudeDeg,
  toLatticeColumn,
  toLatticeRow,
} from "@fellmark/geodesy";
import { createDrawing, type Rgb, toCss, toIndexedPng } from "@fellmark/picture";
import { RAD_PER_DEG } from "@fellmark/units";
import type { AreaShapes } from "../shapes/area-mask.ts";
import { findMiddleLongitude } from "../shapes/row-crossings.ts";
import { findOutlines } from "../shapes/search-area.ts";
import { computeHillshade } from "./hillshade.ts";
import { PAPER } from "./map-colours.ts";
import {
  drawLegend,
  drawScaleBar,
  drawTitle,
  type LegendEntry,
  layOutLegend,
  PAGE_WIDTH,
  TITLE_HEIGHT,
} from "./map-legend.ts";
import { drawMast, drawNorthArrow, drawOutline, type MastMark } from "./map-marks.ts";
import { averageHeightPixels, createPixelFrame, type PixelFrame, pickClassPixels } from "./map-pixels.ts";

/** Alpha of 255 in a pixel whose bytes are red, green, blue, alpha. */
const OPAQUE = 0xff00_0000;

/** Content of every picture of a class raster. */
export interface PageOptions {
  window: LatticeWindow;
  classes: Uint8Array;
  /** NaN where not known. */
  heightsAmslM: Float32Array;
  masts: { id: string; lon: number; lat: number }[];
  sectors: { site: string; azimuthDeg: number }[];
  /** Shapes that bound the area, drawn as dashed outlines. */
  area?: AreaShapes;
  title: string;
  /** One line under the map. */
  caution: string;
  /** One line under the caution: where the picture comes from. */
  facts?: string;
  /** 1000 unless given; the height follows from the window. */
  widthPx?: number;
}

/** Colours of the classes and their entries in the legend. */
export interface PageInk {
  palette: Rgb[];
  /** Palette index of a pixel of a class under a light of 0 .. 1 (NaN: height not known). */
  indexOf(tier: number, shade: number, x: number, y: number): number;
  heading: string;
  entries: LegendEntry[];
}

/**
 * A PNG of a class raster over the hillshade, with masts, legend and scale bar. North is up. The same input gives the
 * same bytes on one version of the canvas. Throws RangeError where the rasters do not fit the window.
 */
export async function drawPage(options: PageOptions, ink: PageInk): Promise<Buffer> {
  const { window, classes, heightsAmslM, widthPx = 1000 } = options;
  const cells = window.width * window.height;
  if (classes.length !== cells || heightsAmslM.length !== cells) {
    throw new RangeError(`the window has ${cells} cells, the rasters ${classes.length} and ${heightsAmslM.length}`);
  }
  const frame = createPixelFrame(window.width, window.height, widthPx);
  const pxPerUnit = widthPx / PAGE_WIDTH;
  const legend = layOutLegend(createDrawing(1, 1), ink.entries);
  const mapTopPx = Math.round(TITLE_HEIGHT * pxPerUnit);
  const mapBottomPx = mapTopPx + frame.heightPx;
  const heightPx = mapBottomPx + Math.round(legend.height * pxPerUnit);
  const context = createDrawing(widthPx, heightPx);
  context.fillStyle = toCss(PAPER);
  context.fillRect(0, 0, widthPx, heightPx);
  const cellsPx = context.createImageData(widthPx, frame.heightPx);
  cellsPx.data.set(paintCells(options, frame, ink));
  context.putImageData(cellsPx, 0, mapTopPx);
  context.scale(pxPerUnit, pxPerUnit);
  drawTitle(context, options.title);
  const mapTop = mapTopPx / pxPerUnit;
  context.save();
  context.beginPath();
  context.rect(0, mapTop, PAGE_WIDTH, frame.heightPx / pxPerUnit);
  context.clip();
  for (const outline of placeOutlines(options, mapTop)) drawOutline(context, outline);
  context.restore();
  for (const mark of placeMasts(options, mapTop)) drawMast(context, mark);
  drawNorthArrow(context, PAGE_WIDTH - 26, mapTop + 14);
  context.translate(0, mapBottomPx / pxPerUnit);
  drawScaleBar(context, (computeGroundCellM(window, window.height / 2) * window.width) / PAGE_WIDTH);
  drawLegend(context, legend, { heading: ink.heading, caution: options.caution, facts: options.facts ?? "" });
  return toIndexedPng(context, ink.palette);
}

/** The map itself, four bytes a pixel. */
function paintCells(options: PageOptions, frame: PixelFrame, ink: PageInk): Uint8ClampedArray {
  const { window } = options;
  const tiers = pickClassPixels(frame, options.classes);
  const shade = computeHillshade(averageHeightPixels(frame, options.heightsAmslM), frame.widthPx, (y) => {
    return computeGroundCellM(window, (y + 0.5) * frame.cellsPerPixel) * frame.cellsPerPixel;
  });
  const packed = Uint32Array.from(ink.palette, ([red, green, blue]) => OPAQUE | (blue << 16) | (green << 8) | red);
  const pixels = new Uint32Array(tiers.length);
  for (let y = 0; y < frame.heightPx; y++) {
    for (let x = 0; x < frame.widthPx; x++) {
      const pixel = y * frame.widthPx + x;
      pixels[pixel] = packed[ink.indexOf(tiers[pixel], shade[pixel], x, y)];
    }
  }
  return new Uint8ClampedArray(pixels.buffer);
}

/** East-west ground length of a cell on WGS84 at a real-valued row of the window, m. */
function computeGroundCellM({ zoom, row0 }: LatticeWindow, row: number): number {
  const latitudeDeg = toLatitudeDeg(row0 + row, zoom);
  const parallelM = 2 * Math.PI * computeNormalRadiusM(latitudeDeg) * Math.cos(latitudeDeg * RAD_PER_DEG);
  return parallelM / countWorldCells(zoom);
}

/** Outlines of the area's shapes on the page: closed lines of x, y. */
function placeOutlines({ window, area }: PageOptions, mapTop: number): [number, number][][] {
  if (area === undefined) return [];
  const perCell = PAGE_WIDTH / window.width;
  const rings = findOutlines(area, findMiddleLongitude(window)).flat();
  return rings.map((ring) =>
    ring.map(([lon, lat]) => [
      (toLatticeColumn(lon, window.zoom) - window.col0) * perCell,
      mapTop + (toLatticeRow(lat, window.zoom) - window.row0) * perCell,
    ]),
  );
}

/** Masts at their places on the page, on the turn of the world that the window lies on. */
function placeMasts({ window, masts, sectors }: PageOptions, mapTop: number): MastMark[] {
  const perCell = PAGE_WIDTH / window.width;
  const world = countWorldCells(window.zoom);
  const middle = window.col0 + window.width / 2;
  return masts.map(({ id, lon, lat }) => {
    const column = toLatticeColumn(lon, window.zoom);
    const nearest = column + world * Math.round((middle - column) / world);
    return {
      id,
      x: (nearest - window.col0) * perCell,
      y: mapTop + (toLatticeRow(lat, window.zoom) - window.row0) * perCell,
      azimuthsDeg: sectors.filter((sector) => sector.site === id).map((sector) => sector.azimuthDeg),
    };
  });
}
