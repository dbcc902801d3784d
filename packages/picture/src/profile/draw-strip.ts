import type { Mark } from "../display-list.ts";
import { drawHeightAxis, findFoot } from "./draw-axes.ts";
import { drawGround } from "./draw-ground.ts";
import { drawAntenna, drawBlocking, drawLines } from "./draw-path.ts";
import { levelShape, type PathShape } from "./path-shape.ts";
import { createStripFrame } from "./plot-frame.ts";
import type { ProfileToDraw } from "./profile-to-draw.ts";

/** Surroundings of the line of sight, with the line level and heights drawn large, for plots that are too flat. */
export function drawStrip(profile: ProfileToDraw, shape: PathShape): Mark[] {
  const level = levelShape(shape);
  const frame = createStripFrame(profile, shape);
  const { box, xOf, yOf } = frame;
  const heading = "Near the line of sight, drawn level: metres above and below it";
  return [
    { kind: "text", x: box.left, y: box.top - 8, text: heading, sizePx: 12, ink: "faint" },
    ...drawHeightAxis(frame, 5),
    ...drawGround(level, frame),
    { kind: "path", lines: [findFoot(box)], stroke: "faint", widthPx: 1 },
    ...drawLines(profile, level, frame),
    ...[0, shape.lengthM].map((distanceM) => drawAntenna(xOf(distanceM), yOf(0))),
    ...drawBlocking(level, frame),
  ];
}
