import type { Drawing, Mark } from "../display-list.ts";
import { fitText, wrapText } from "../fit-text.ts";
import { renderPng } from "../png-drawing.ts";
import { renderSvg } from "../svg-drawing.ts";
import { drawDistanceAxis, drawHeightAxis } from "./draw-axes.ts";
import { drawGapWords, drawGround } from "./draw-ground.ts";
import { drawBlocking, drawEnds, drawLines, isZoneThin } from "./draw-path.ts";
import { drawStrip } from "./draw-strip.ts";
import { drawTable } from "./draw-table.ts";
import { drawHead, drawKey, KEY_PX, LINE_PX } from "./draw-words.ts";
import { buildPathShape, hasLine, type PathShape } from "./path-shape.ts";
import { COLUMNS, createEmptyFrame, createPlotFrame, PLOT, type PlotFrame, STRIP } from "./plot-frame.ts";
import { checkProfile, type ProfileToDraw } from "./profile-to-draw.ts";

const WIDTH_PX = 900;
/** Height of the distances under the plot. */
const DISTANCES_PX = 22;
const CAUTION = { sizePx: 12.5, weight: "bold" } as const;
const CAUTION_ROW_PX = 18;
const MOST_CAUTION_LINES = 3;
const SIGHT = { sizePx: 12 };
const SIGHT_ROW_PX = 17;
const MOST_SIGHT_LINES = 4;

/**
 * A profile as a whole SVG: hatched ground with the Earth's curve in it, dotted growth, line of sight, first Fresnel
 * zone and 60 % of it, numbered blocking places with a table; once more with the line level where the zone is too thin to
 * be read. The same profile has the same bytes. Throws RangeError where the profile's lists do not fit together.
 */
export function renderProfileSvg(profile: ProfileToDraw): string {
  return renderSvg(drawProfile(profile));
}

/** The same picture as an indexed PNG of twice as many pixels; the same bytes on one version of the canvas. */
export async function renderProfilePng(profile: ProfileToDraw): Promise<Uint8Array> {
  return renderPng(drawProfile(profile));
}

function drawProfile(profile: ProfileToDraw): Drawing {
  checkProfile(profile);
  const shape = buildPathShape(profile, COLUMNS);
  const frame = createPlotFrame(profile, shape);
  const hasStrip = frame !== null && hasLine(shape) && isZoneThin(profile, frame);
  const keyTop = (hasStrip ? STRIP.bottom : PLOT.bottom + DISTANCES_PX) + 8;
  const sight = drawSight(profile, keyTop + KEY_PX + 12);
  const table = drawTable(profile, sight.bottom);
  const caution = drawCaution(profile.caution, table.bottom + 22);
  return {
    widthPx: WIDTH_PX,
    heightPx: table.bottom + 22 + caution.length * CAUTION_ROW_PX,
    title: fitText(profile.title, LINE_PX, CAUTION),
    marks: [
      ...drawPlot(profile, shape, frame),
      ...(hasStrip ? drawStrip(profile, shape) : []),
      ...drawHead(profile),
      ...drawKey(profile, shape, frame, keyTop),
      ...sight.marks,
      ...table.marks,
      ...caution,
    ],
  };
}

function drawPlot(profile: ProfileToDraw, shape: PathShape, known: PlotFrame | null): Mark[] {
  const frame = known ?? createEmptyFrame(shape.lengthM);
  return [
    ...(known ? drawHeightAxis(known, 6) : []),
    ...drawGround(shape, frame),
    ...drawDistanceAxis(frame),
    ...drawGapWords(shape, frame),
    ...drawLines(profile, shape, frame),
    ...drawEnds(profile, shape, frame),
    ...drawBlocking(shape, frame),
  ];
}

/** Sentences on the line of sight, with the height at which they end. */
function drawSight({ sight }: ProfileToDraw, top: number): { marks: Mark[]; bottom: number } {
  const lines = wrapText(sight, LINE_PX, MOST_SIGHT_LINES, SIGHT);
  const y = (line: number) => top + line * SIGHT_ROW_PX;
  const marks = lines.map(
    (text, line): Mark => ({ kind: "text", ...SIGHT, x: PLOT.left, y: y(line), text, ink: "ink" }),
  );
  return { marks, bottom: y(lines.length - 1) + 6 };
}

function drawCaution(caution: string, top: number): Mark[] {
  return wrapText(caution, LINE_PX, MOST_CAUTION_LINES, CAUTION).map((text, line) => ({
    kind: "text",
    ...CAUTION,
    x: PLOT.left,
    y: top + line * CAUTION_ROW_PX,
    text,
    ink: "alarm",
  }));
}
