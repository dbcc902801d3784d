import { RAD_PER_DEG } from "@fellmark/units";

/** One line of a plot: gain in dBi at an angle of the plane. */
export interface PlotLine {
  gainDbi(angleDeg: number): number;
  stroke: string;
  dash: string;
}

/** Where 0 degrees stand on the paper and which way the angle grows. */
export type Facing = "up-clockwise" | "right-anticlockwise";

export interface PolarPlot {
  title: string;
  facing: Facing;
  lines: readonly PlotLine[];
  /** Gain at the outermost ring, a multiple of 10. */
  outerDbi: number;
}

export const PLOT_RADIUS = 170;
const RINGS = 5;
const RING_DB = 10;
const SPOKE_DEG = 30;
const STEP_DEG = 0.5;

/** A polar plot as SVG elements about its own centre: rings every 10 dB in dBi, spokes every 30 degrees. */
export function polarPlot({ title, facing, lines, outerDbi }: PolarPlot): string {
  const elements = [`<text class="title" y="${-PLOT_RADIUS - 34}" text-anchor="middle">${title}</text>`];
  for (let ring = RINGS; ring >= 1; ring--) {
    elements.push(`<circle class="${ring === RINGS ? "rim" : "grid"}" r="${(ring * PLOT_RADIUS) / RINGS}"/>`);
  }
  for (let angleDeg = 0; angleDeg < 360; angleDeg += SPOKE_DEG) elements.push(spoke(angleDeg, facing));
  for (const line of lines) elements.push(curve(line, facing, outerDbi));
  for (let ring = 1; ring <= RINGS; ring++) elements.push(ringLabel(ring, facing, outerDbi));
  return elements.join("\n");
}

function place(angleDeg: number, radius: number, facing: Facing): string {
  const angle = angleDeg * RAD_PER_DEG;
  const [along, aside] = [radius * Math.cos(angle), radius * Math.sin(angle)];
  const [x, y] = facing === "up-clockwise" ? [aside, -along] : [along, -aside];
  return `${x.toFixed(1)} ${y.toFixed(1)}`;
}

function spoke(angleDeg: number, facing: Facing): string {
  const [x, y] = place(angleDeg, PLOT_RADIUS + 15, facing).split(" ");
  const shown = angleDeg > 180 ? angleDeg - 360 : angleDeg;
  const line = `<path class="grid" d="M0 0L${place(angleDeg, PLOT_RADIUS, facing)}"/>`;
  return `${line}<text class="label" x="${x}" y="${y}" dy="4" text-anchor="middle">${shown}°</text>`;
}

/** Written along a spoke where antennas are weak: behind and aside. */
function ringLabel(ring: number, facing: Facing, outerDbi: number): string {
  const [x, y] = place(facing === "up-clockwise" ? 195 : 165, (ring * PLOT_RADIUS) / RINGS, facing).split(" ");
  const gainDbi = outerDbi - (RINGS - ring) * RING_DB;
  return `<text class="ring" x="${x}" y="${y}" dy="3" text-anchor="middle">${gainDbi}${ring === RINGS ? " dBi" : ""}</text>`;
}

function curve({ gainDbi, stroke, dash }: PlotLine, facing: Facing, outerDbi: number): string {
  const innerDbi = outerDbi - RINGS * RING_DB;
  const places: string[] = [];
  for (let angleDeg = -180; angleDeg < 180; angleDeg += STEP_DEG) {
    const share = (gainDbi(angleDeg) - innerDbi) / (outerDbi - innerDbi);
    places.push(place(angleDeg, PLOT_RADIUS * Math.min(Math.max(share, 0), 1), facing));
  }
  return `<path class="line" stroke="${stroke}" stroke-dasharray="${dash}" d="M${places.join("L")}Z"/>`;
}
