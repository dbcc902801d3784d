import type { Drawing, Mark } from "../display-list.ts";
import { fitText, wrapText } from "../fit-text.ts";
import { drawingPng } from "../png-drawing.ts";
import { drawingSvg } from "../svg-drawing.ts";
import { distanceAxis, heightAxis } from "./draw-axes.ts";
import { gapWords, groundMarks } from "./draw-ground.ts";
import { blockingMarks, endMarks, isZoneThin, lineMarks } from "./draw-path.ts";
import { stripMarks } from "./draw-strip.ts";
import { tableMarks } from "./draw-table.ts";
import { headMarks, KEY_PX, keyMarks, LINE_PX } from "./draw-words.ts";
import { hasLine, type PathShape, pathShape } from "./path-shape.ts";
import { COLUMNS, emptyFrame, PLOT, type PlotFrame, plotFrame, STRIP } from "./plot-frame.ts";
import { checkProfile, type ProfileToDraw } from "./profile-to-draw.ts";

const WIDTH_PX = 900;
/** Height of the distances under the plot. */
const DISTANCES_PX = 22;
const CAUTION = { sizePx: 12.5, weight: "bold" } as const;
const CAUTION_ROW_PX = 18;
const MOST_CAUTION_LINES = 3;

/**
 * A profile as a whole SVG: hatched ground with the Earth's curve in it, dotted growth, line of sight, first Fresnel
 * zone and 60 % of it, numbered blocking places with a table; once more with the line level where the zone is too thin to
 * be read. The same profile has the same bytes. Throws RangeError where the profile's lists do not fit together.
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
  const hasStrip = frame !== null && hasLine(shape) && isZoneThin(profile, frame);
  const keyTop = (hasStrip ? STRIP.bottom : PLOT.bottom + DISTANCES_PX) + 8;
  const table = tableMarks(profile, keyTop + KEY_PX);
  const caution = cautionMarks(profile.caution, table.bottom + 22);
  return {
    widthPx: WIDTH_PX,
    heightPx: table.bottom + 22 + caution.length * CAUTION_ROW_PX,
    title: fitText(profile.title, LINE_PX, CAUTION),
    marks: [
      ...plotMarks(profile, shape, frame),
      ...(hasStrip ? stripMarks(profile, shape) : []),
      ...headMarks(profile),
      ...keyMarks(profile, shape, frame, keyTop),
      ...table.marks,
      ...caution,
    ],
  };
}

function plotMarks(profile: ProfileToDraw, shape: PathShape, known: PlotFrame | null): Mark[] {
  const frame = known ?? emptyFrame(shape.lengthM);
  return [
    ...(known ? heightAxis(known, 6) : []),
    ...groundMarks(shape, frame),
    ...distanceAxis(frame),
    ...gapWords(shape, frame),
    ...lineMarks(profile, shape, frame),
    ...endMarks(profile, shape, frame),
    ...blockingMarks(shape, frame),
  ];
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
