import type { Drawing, Mark } from "../display-list.ts";
import { fitText, wrapText } from "../fit-text.ts";
import { drawingPng } from "../png-drawing.ts";
import { drawingSvg } from "../svg-drawing.ts";
import { axisMarks } from "./draw-axes.ts";
import { groundMarks } from "./draw-ground.ts";
import { blockingMarks, endMarks, lineMarks } from "./draw-path.ts";
import { tableMarks } from "./draw-table.ts";
import { headMarks, keyMarks, LINE_PX } from "./draw-words.ts";
import { pathShape } from "./path-shape.ts";
import { COLUMNS, PLOT, plotFrame } from "./plot-frame.ts";
import { checkProfile, type ProfileToDraw } from "./profile-to-draw.ts";

const WIDTH_PX = 900;
const CAUTION = { sizePx: 12.5, weight: "bold" } as const;
const CAUTION_ROW_PX = 18;
const MOST_CAUTION_LINES = 3;

/**
 * A profile as a whole SVG: hatched ground with the Earth's curve in it, dotted growth, line of sight, first Fresnel
 * zone and 60 % of it, numbered blocking places with a table. The same profile has the same bytes. Throws RangeError
 * where the profile's lists do not fit together.
 */
export function profileSvg(profile: ProfileToDraw): string {
  return drawingSvg(profileDrawing(profile));
}

/** The same picture as an indexed PNG of twice as many pixels; the same bytes on one version of the canvas. */
export async function profilePng(profile: ProfileToDraw): Promise<Uint8Array> {
  return drawingPng(profileDrawing(profile));
}

function profileDrawing(profile: ProfileToDraw): Drawing {
  checkProfile(profile);
  const shape = pathShape(profile, COLUMNS);
  const frame = plotFrame(profile, shape);
  const table = tableMarks(profile);
  const caution = cautionMarks(profile.caution, table.bottom + 22);
  return {
    widthPx: WIDTH_PX,
    heightPx: table.bottom + 22 + caution.length * CAUTION_ROW_PX,
    title: fitText(profile.title, LINE_PX, CAUTION),
    marks: [
      ...axisMarks(frame),
      ...groundMarks(shape, frame),
      ...lineMarks(profile, shape, frame),
      ...endMarks(profile, shape, frame),
      ...blockingMarks(profile, shape, frame),
      ...headMarks(profile),
      ...keyMarks(profile, shape, frame),
      ...table.marks,
      ...caution,
    ],
  };
}

function cautionMarks(caution: string, top: number): Mark[] {
  return wrapText(caution, LINE_PX, MOST_CAUTION_LINES, CAUTION).map((text, line) => ({
    kind: "text",
    ...CAUTION,
    x: PLOT.left,
    y: top + line * CAUTION_ROW_PX,
    text,
    ink: "alarm",
  }));
}
