import type { Ink, Mark } from "../display-list.ts";
import { bulgeM, firstZoneRadiusM, lineAtM, type PathShape } from "./path-shape.ts";
import { PLOT, type PlotFrame } from "./plot-frame.ts";
import type { BlockingPlace, ProfileToDraw } from "./profile-to-draw.ts";

/** Share of the first Fresnel zone that a free path keeps clear. */
const FREE_SHARE = 0.6;

/** Points along each side of the zone, closer near the ends, where it is round. */
const ZONE_POINTS = 90;

export const ZONE_LOOKS = {
  line: { stroke: "ink", widthPx: 1.5 },
  whole: { stroke: "zone", widthPx: 1.3 },
  free: { stroke: "zone", widthPx: 1.1, dash: [6, 4] },
} satisfies Record<string, { stroke: Ink; widthPx: number; dash?: number[] }>;

/** Sight line and zone, where the ground under both antennas is known. */
export function lineMarks(profile: ProfileToDraw, shape: PathShape, frame: PlotFrame): Mark[] {
  if (!hasLine(shape)) return [];
  const { lengthM, mastTipM, kitTipM } = shape;
  const ring = (share: number) => zoneRing(profile.frequencyGhz, share, shape, frame);
  const line = [frame.xOf(0), frame.yOf(mastTipM), frame.xOf(lengthM), frame.yOf(kitTipM)];
  return [
    { kind: "path", lines: [ring(1)], isClosed: true, ...ZONE_LOOKS.whole },
    { kind: "path", lines: [ring(FREE_SHARE)], isClosed: true, ...ZONE_LOOKS.free },
    { kind: "path", lines: [line], ...ZONE_LOOKS.line },
  ];
}

export function hasLine({ mastTipM, kitTipM }: PathShape): boolean {
  return Number.isFinite(mastTipM) && Number.isFinite(kitTipM);
}

/** Upper side out, lower side back. */
function zoneRing(frequencyGhz: number, share: number, shape: PathShape, { xOf, yOf }: PlotFrame): number[] {
  const { lengthM } = shape;
  const ring: number[] = [];
  for (let turn = 0; turn < 2 * ZONE_POINTS; turn++) {
    const angleRad = (Math.PI * turn) / ZONE_POINTS;
    const fromMastM = (lengthM * (1 - Math.cos(angleRad))) / 2;
    const radiusM = share * firstZoneRadiusM(fromMastM, Math.max(0, lengthM - fromMastM), frequencyGhz);
    const side = turn <= ZONE_POINTS ? 1 : -1;
    ring.push(xOf(fromMastM), yOf(lineAtM(shape, fromMastM) + side * radiusM));
  }
  return ring;
}

/** Mast and kit as strokes from the ground to their antennas. */
export function endMarks({ mast, kit }: ProfileToDraw, shape: PathShape, { xOf, yOf }: PlotFrame): Mark[] {
  const ends = [
    { x: xOf(0), tipM: shape.mastTipM, heightM: mast.heightAglM, widthPx: 3.2 },
    { x: xOf(shape.lengthM), tipM: shape.kitTipM, heightM: kit.heightAglM, widthPx: 2.2 },
  ].filter(({ tipM }) => Number.isFinite(tipM));
  return ends.flatMap(({ x, tipM, heightM, widthPx }): Mark[] => [
    { kind: "path", lines: [[x, yOf(tipM - heightM), x, yOf(tipM)]], stroke: "ink", widthPx },
    { kind: "dots", centres: [x, yOf(tipM)], radiusPx: 3.4, fill: "paper", stroke: "ink" },
  ]);
}

/** More blocking places than this are not numbered. */
const MOST_NUMBERED = 8;

/** The blocking places that stand highest over the line, in their order from the mast. */
export function numberedPlaces(blocking: readonly BlockingPlace[]): BlockingPlace[] {
  const worst = blocking.toSorted((a, b) => b.excessM - a.excessM).slice(0, MOST_NUMBERED);
  return worst.sort((a, b) => a.distanceM - b.distanceM);
}

const DISC_RADIUS_PX = 8.5;
/** How far the discs stand off their places, nearest first: over them, or under them where there is no room. */
const OFFSETS_PX = [-20, -39, -58, 24, 43, 62];

/** A numbered disc over each blocking place, with a line down to it. */
export function blockingMarks(profile: ProfileToDraw, shape: PathShape, { xOf, yOf }: PlotFrame): Mark[] {
  const discs: { x: number; y: number }[] = [];
  const leaders: Mark[] = [];
  for (const { distanceM, heightAmslM } of numberedPlaces(profile.blocking)) {
    const x = xOf(distanceM);
    const raisedM = bulgeM(distanceM, shape.lengthM - distanceM, profile.effectiveEarthRadiusM);
    const placeY = yOf(heightAmslM + raisedM);
    const y = placeY + (OFFSETS_PX.find((offset) => isFree(x, placeY + offset, discs)) ?? OFFSETS_PX[0]);
    discs.push({ x, y });
    leaders.push({ kind: "path", lines: [[x, placeY, x, y]], stroke: "alarm", widthPx: 1.3 });
    leaders.push({ kind: "dots", centres: [x, placeY], radiusPx: 2.4, fill: "alarm" });
  }
  return [...leaders, ...discs.flatMap(({ x, y }, index) => numberMarks(index + 1, x, y))];
}

/** Whether a disc has room within the plot and among those that are there. */
function isFree(x: number, y: number, discs: readonly { x: number; y: number }[]): boolean {
  if (y - DISC_RADIUS_PX < PLOT.top || y + DISC_RADIUS_PX > PLOT.bottom) return false;
  return discs.every((disc) => Math.hypot(disc.x - x, disc.y - y) > 2 * DISC_RADIUS_PX + 1);
}

/** A number in a disc, as it stands on the plot and before its row of the table. */
export function numberMarks(number: number, x: number, y: number): Mark[] {
  return [
    { kind: "dots", centres: [x, y], radiusPx: DISC_RADIUS_PX, fill: "paper", stroke: "alarm" },
    { kind: "text", x, y: y + 4, text: String(number), sizePx: 11, weight: "bold", ink: "alarm", anchor: "middle" },
  ];
}
