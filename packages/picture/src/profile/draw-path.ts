import type { Ink, Mark } from "../display-list.ts";
import { computeFirstZoneRadiusM, computeLineM, hasLine, type PathShape } from "./path-shape.ts";
import type { Box, PlotFrame } from "./plot-frame.ts";
import type { ProfileToDraw } from "./profile-to-draw.ts";

/** Share of the first Fresnel zone that a free path keeps clear. */
export const FREE_SHARE = 0.6;

/** Points along each side of the zone, closer near the ends, where it is round. */
const ZONE_POINTS = 90;

export const LINE_LOOKS = {
  line: { stroke: "ink", widthPx: 1.5 },
  zone: { stroke: "zone", widthPx: 1.3 },
  free: { stroke: "zone", widthPx: 1.1, dash: [6, 4] },
} satisfies Record<string, { stroke: Ink; widthPx: number; dash?: number[] }>;

/** A zone that reaches fewer px than this from the line is drawn in thinner lines, and once more level. */
const THIN_ZONE_PX = 14;
const THINNER = 0.6;

/** True where the lines of the zone lie too close together to be told apart. */
export function isZoneThin({ frequencyGhz }: ProfileToDraw, { pxPerM, lengthM }: PlotFrame): boolean {
  return computeFirstZoneRadiusM(lengthM / 2, lengthM / 2, frequencyGhz) * pxPerM < THIN_ZONE_PX;
}

/** Sight line and zone, where the ground under both antennas is known. */
export function drawLines(profile: ProfileToDraw, shape: PathShape, frame: PlotFrame): Mark[] {
  if (!hasLine(shape)) return [];
  const { lengthM, mastTipM, cpeTipM } = shape;
  const { xOf, yOf } = frame;
  const ring = (share: number) => buildZoneRing(profile.frequencyGhz, share, shape, frame);
  const width = isZoneThin(profile, frame) ? THINNER : 1;
  const marks: Mark[] = [
    { kind: "path", lines: [ring(1)], isClosed: true, ...LINE_LOOKS.zone },
    { kind: "path", lines: [ring(FREE_SHARE)], isClosed: true, ...LINE_LOOKS.free },
    { kind: "path", lines: [[xOf(0), yOf(mastTipM), xOf(lengthM), yOf(cpeTipM)]], ...LINE_LOOKS.line },
  ];
  return marks.map((mark) => (mark.kind === "path" ? { ...mark, widthPx: width * mark.widthPx } : mark));
}

/** Upper side out, lower side back. */
function buildZoneRing(frequencyGhz: number, share: number, shape: PathShape, { xOf, yOf }: PlotFrame): number[] {
  const { lengthM } = shape;
  const ring: number[] = [];
  for (let turn = 0; turn < 2 * ZONE_POINTS; turn++) {
    const angleRad = (Math.PI * turn) / ZONE_POINTS;
    const fromMastM = (lengthM * (1 - Math.cos(angleRad))) / 2;
    const radiusM = share * computeFirstZoneRadiusM(fromMastM, Math.max(0, lengthM - fromMastM), frequencyGhz);
    const side = turn <= ZONE_POINTS ? 1 : -1;
    ring.push(xOf(fromMastM), yOf(computeLineM(shape, fromMastM) + side * radiusM));
  }
  return ring;
}

/** Mast and CPE as strokes from the ground to their antennas. */
export function drawEnds({ mast, cpe }: ProfileToDraw, shape: PathShape, { xOf, yOf }: PlotFrame): Mark[] {
  const ends = [
    { x: xOf(0), tipM: shape.mastTipM, heightM: mast.heightAglM, widthPx: 3.2 },
    { x: xOf(shape.lengthM), tipM: shape.cpeTipM, heightM: cpe.heightAglM, widthPx: 2.2 },
  ].filter(({ tipM }) => Number.isFinite(tipM));
  return ends.flatMap(({ x, tipM, heightM, widthPx }): Mark[] => [
    { kind: "path", lines: [[x, yOf(tipM - heightM), x, yOf(tipM)]], stroke: "ink", widthPx },
    drawAntenna(x, yOf(tipM)),
  ]);
}

export function drawAntenna(x: number, y: number): Mark {
  return { kind: "dots", centres: [x, y], radiusPx: 3.4, fill: "paper", stroke: "ink" };
}

const DISC_RADIUS_PX = 8.5;
/** Distances of the discs from their places, nearest first: over them, or under them where there is no room. */
const OFFSETS_PX = [-20, -39, -58, 24, 43, 62];

/** A numbered disc over each blocking place, with a line down to it; a place beyond the box is drawn on its edge. */
export function drawBlocking({ blocking }: PathShape, { box, xOf, yOf }: PlotFrame): Mark[] {
  const discs: { x: number; y: number }[] = [];
  const leaders: Mark[] = [];
  for (const { distanceM, heightM } of blocking) {
    const x = xOf(distanceM);
    const placeY = Math.max(box.top, yOf(heightM));
    const y = placeY + (OFFSETS_PX.find((offset) => isFree(x, placeY + offset, discs, box)) ?? OFFSETS_PX[0]);
    discs.push({ x, y });
    leaders.push({ kind: "path", lines: [[x, placeY, x, y]], stroke: "alarm", widthPx: 1.3 });
    leaders.push({ kind: "dots", centres: [x, placeY], radiusPx: 2.4, fill: "alarm" });
  }
  return [...leaders, ...discs.flatMap(({ x, y }, index) => drawNumber(index + 1, x, y))];
}

/** True for a disc with room within the box and among those that are there. */
function isFree(x: number, y: number, discs: readonly { x: number; y: number }[], { top, bottom }: Box): boolean {
  if (y - DISC_RADIUS_PX < top || y + DISC_RADIUS_PX > bottom) return false;
  return discs.every((disc) => Math.hypot(disc.x - x, disc.y - y) > 2 * DISC_RADIUS_PX + 1);
}

/** A number in a disc, as it stands on the plot and before its row of the table. */
export function drawNumber(number: number, x: number, y: number): Mark[] {
  return [
    { kind: "dots", centres: [x, y], radiusPx: DISC_RADIUS_PX, fill: "paper", stroke: "alarm" },
    { kind: "text", x, y: y + 4, text: String(number), sizePx: 11, weight: "bold", ink: "alarm", anchor: "middle" },
  ];
}
