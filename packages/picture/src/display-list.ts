import type { Rgb } from "./colour.ts";
import type { FontWeight } from "./font.ts";

/** The few colours of a drawn sheet: muted, and apart in lightness, since shapes and dashes carry what is meant. */
export const INKS = {
  paper: [250, 247, 238],
  ink: [40, 38, 36],
  faint: [112, 104, 92],
  grid: [226, 219, 203],
  ground: [92, 70, 48],
  hatch: [184, 167, 140],
  growth: [84, 104, 58],
  zone: [48, 88, 122],
  alarm: [150, 54, 16],
} satisfies Record<string, Rgb>;

export type Ink = keyof typeof INKS;

/** Content of a picture, from back to front, in px from its upper left corner; `title` is for those who cannot see it. */
export interface Drawing {
  widthPx: number;
  heightPx: number;
  title: string;
  marks: Mark[];
}

export type Mark = PathMark | DotsMark | TextMark;

/** Open lines, or rings where `isClosed`; each is x, y, x, y, ... */
export interface PathMark {
  kind: "path";
  lines: number[][];
  stroke: Ink;
  widthPx: number;
  /** Lengths of stroke and gap in turn; absent: unbroken. */
  dash?: number[];
  isClosed?: boolean;
}

/** Round dots; `centres` is x, y, x, y, ... */
export interface DotsMark {
  kind: "dots";
  centres: number[];
  radiusPx: number;
  fill: Ink;
  stroke?: Ink;
}

/** Words whose baseline starts, has its middle or ends at (x, y). */
export interface TextMark {
  kind: "text";
  x: number;
  y: number;
  text: string;
  sizePx: number;
  ink: Ink;
  weight?: FontWeight;
  anchor?: "start" | "middle" | "end";
  /** On a border of paper, to be read across lines. */
  hasHalo?: boolean;
  /** Written upwards. */
  isUpright?: boolean;
}

/** Width of the border around words with a halo. */
export const HALO_PX = 4;
