import { RAD_PER_DEG } from "@fellmark/units";
import type { Ink, Mark } from "../display-list.ts";
import type { AntennaPlane, Facing } from "./antenna-to-draw.ts";

/** Look of each antenna's curve: dark blue and burnt orange differ for every kind of sight, dashes without colour. */
export const CURVE_LOOKS: readonly { stroke: Ink; widthPx: number; dash?: number[]; words: string }[] = [
  { stroke: "zone", widthPx: 2, words: "solid line" },
  { stroke: "alarm", widthPx: 2, dash: [7, 4], words: "dashed line" },
];

export const PLOT_RADIUS_PX = 170;
const RINGS = 5;
const RING_DB = 10;
const RING_CORNERS = 180;
const SPOKE_DEG = 30;
const SPOKE_LABEL_PX = 15;
const TITLE_PX = 34;

/** Middle of a plot on the sheet, px. */
export interface Centre {
  x: number;
  y: number;
}

/** A polar plot: rings every 10 dB in dBi, spokes every 30 degrees, a curve for each antenna. */
export function drawPolarPlot({ title, facing, curvesDbi }: AntennaPlane, outerDbi: number, centre: Centre): Mark[] {
  const at = (angleDeg: number, radiusPx: number) => placeAngle(angleDeg, radiusPx, facing, centre);
  const head = { x: centre.x, y: centre.y - PLOT_RADIUS_PX - TITLE_PX, sizePx: 14 };
  return [
    { kind: "text", ...head, text: title, ink: "ink", weight: "bold", anchor: "middle" },
    ...drawGrid(at),
    ...curvesDbi.map((curve, antenna) => drawCurve(curve, antenna, outerDbi, at)),
    ...drawRingLabels(facing, outerDbi, at),
  ];
}

type PlacePx = (angleDeg: number, radiusPx: number) => [number, number];

function placeAngle(angleDeg: number, radiusPx: number, facing: Facing, { x, y }: Centre): [number, number] {
  const along = radiusPx * Math.cos(angleDeg * RAD_PER_DEG);
  const aside = radiusPx * Math.sin(angleDeg * RAD_PER_DEG);
  return facing === "up-clockwise" ? [x + aside, y - along] : [x + along, y - aside];
}

function drawGrid(at: PlacePx): Mark[] {
  const corners = Array.from({ length: RING_CORNERS }, (_, corner) => (360 * corner) / RING_CORNERS);
  const rings = Array.from({ length: RINGS }, (_, ring) =>
    corners.flatMap((angleDeg) => at(angleDeg, ((ring + 1) * PLOT_RADIUS_PX) / RINGS)),
  );
  const spokesDeg = Array.from({ length: 360 / SPOKE_DEG }, (_, spoke) => SPOKE_DEG * spoke);
  const spokes = spokesDeg.map((angleDeg) => [...at(0, 0), ...at(angleDeg, PLOT_RADIUS_PX)]);
  return [
    { kind: "path", lines: [...rings.slice(0, -1), ...spokes], stroke: "grid", widthPx: 1, isClosed: true },
    { kind: "path", lines: rings.slice(-1), stroke: "faint", widthPx: 1, isClosed: true },
    ...spokesDeg.map((angleDeg) => drawSpokeLabel(angleDeg, at)),
  ];
}

function drawSpokeLabel(angleDeg: number, at: PlacePx): Mark {
  const [x, y] = at(angleDeg, PLOT_RADIUS_PX + SPOKE_LABEL_PX);
  const text = `${angleDeg > 180 ? angleDeg - 360 : angleDeg}°`;
  return { kind: "text", x, y: y + 4, text, sizePx: 11.5, ink: "faint", anchor: "middle" };
}

/** Written along a spoke where antennas are weak: behind and aside. */
function drawRingLabels(facing: Facing, outerDbi: number, at: PlacePx): Mark[] {
  return Array.from({ length: RINGS }, (_, index): Mark => {
    const ring = index + 1;
    const [x, y] = at(facing === "up-clockwise" ? 195 : 165, (ring * PLOT_RADIUS_PX) / RINGS);
    const text = `${outerDbi - (RINGS - ring) * RING_DB}${ring === RINGS ? " dBi" : ""}`;
    return { kind: "text", x, y: y + 3, text, sizePx: 11, ink: "faint", anchor: "middle", hasHalo: true };
  });
}

function drawCurve(curveDbi: Float64Array, antenna: number, outerDbi: number, at: PlacePx): Mark {
  const { stroke, widthPx, dash } = CURVE_LOOKS[antenna];
  const line = Array.from(curveDbi, (gainDbi, step) => {
    const share = 1 - (outerDbi - gainDbi) / (RINGS * RING_DB);
    return at((360 * step) / curveDbi.length - 180, PLOT_RADIUS_PX * Math.min(Math.max(share, 0), 1));
  });
  return { kind: "path", lines: [line.flat()], stroke, widthPx, ...(dash && { dash }), isClosed: true };
}
