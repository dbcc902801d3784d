import type { Mark } from "../display-list.ts";
import { footOf, heightAxis } from "./draw-axes.ts";
import { groundMarks } from "./draw-ground.ts";
import { antennaMark, blockingMarks, lineMarks } from "./draw-path.ts";
import { levelled, type PathShape } from "./path-shape.ts";
import { stripFrame } from "./plot-frame.ts";
import type { ProfileToDraw } from "./profile-to-draw.ts";

/** What lies near the line of sight, with the line level and heights drawn large: where the plot itself is too small. */
export function stripMarks(profile: ProfileToDraw, shape: PathShape): Mark[] {
  const level = levelled(shape);
  const frame = stripFrame(profile, shape);
  const { box, xOf, yOf } = frame;
  const heading = "near the line of sight, drawn level: metres over and under it";
  return [
    { kind: "text", x: box.left, y: box.top - 8, text: heading, sizePx: 12, ink: "faint" },
    ...heightAxis(frame, 5),
    ...groundMarks(level, frame),
    { kind: "path", lines: [footOf(box)], stroke: "faint", widthPx: 1 },
    ...lineMarks(profile, level, frame),
    ...[0, shape.lengthM].map((distanceM) => antennaMark(xOf(distanceM), yOf(0))),
    ...blockingMarks(level, frame),
  ];
}
