import { mix, type Rgb, roundColour } from "@fellmark/picture";
import { TIER_CLASS } from "../tier-class.ts";
import { buildRamp } from "./palette.ts";

/** Share of a plan's colour in its mix with the hillshade. */
const TIER_OPACITY = 0.78;

/** Fewer levels make a smaller file; six still read as relief. */
const MOST_SHADE_LEVELS = 6;

/** Colours of writing and lines, and what lies between them where edges are smoothed. */
export const INK: Rgb = [27, 36, 48];
export const PAPER: Rgb = [255, 255, 255];
export const WARNING: Rgb = [150, 54, 16];
const INK_STEPS = 16;

/** Open water without service. */
const WATER: Rgb = [193, 211, 226];

/** The fixed colours of one picture, 256 at most, and where each class finds its own. */
export interface MapColours {
  palette: Rgb[];
  /** Index of a class under a light of 0 .. 1; NaN where the height is not known. */
  indexOf(tier: number, shade: number): number;
  /** Indices of the two stripes of cells not known. */
  hatch: [number, number];
  /** Index of a cell's ground alone under a light of 0 .. 1, without the colour of a plan. */
  groundIndex(shade: number): number;
}

/** Colours for 32 plans or fewer; throws RangeError beyond. */
export function createMapColours(planCount: number): MapColours {
  if (planCount > 32) throw new RangeError(`a picture shows 32 plans at most, got ${planCount}`);
  const bands: (Rgb | null)[] = [null, ...buildRamp(planCount)];
  const levels = Math.min(MOST_SHADE_LEVELS, Math.floor(200 / (bands.length + 1)));
  const palette: Rgb[] = [];
  for (const band of bands) {
    for (let level = 0; level < levels; level++) palette.push(computeBandColour(band, level / (levels - 1)));
  }
  const outsideStart = palette.length;
  for (let level = 0; level < levels; level++)
    palette.push(mix(computeBandColour(null, level / (levels - 1)), PAPER, 0.72));
  const water = palette.push(WATER) - 1;
  const hatch: [number, number] = [palette.push([214, 214, 214]) - 1, palette.push([150, 146, 146]) - 1];
  for (let step = 0; step < INK_STEPS; step++) {
    palette.push(mix(INK, PAPER, step / (INK_STEPS - 1)));
    palette.push(mix(WARNING, PAPER, step / (INK_STEPS - 1)));
  }
  const indexOf = (tier: number, shade: number) => {
    if (tier === TIER_CLASS.water) return water;
    const level = Math.round(computeLightness(Number.isNaN(shade) ? FLAT : shade) * (levels - 1));
    return (tier === TIER_CLASS.outside ? outsideStart : tier * levels) + level;
  };
  return { palette, indexOf, hatch, groundIndex: (shade) => indexOf(TIER_CLASS.noService, shade) };
}

/** Light on flat ground, see hillshade. */
export const FLAT = Math.SQRT1_2;

/** Place among the shade levels: contrast is spent on the common slopes around flat ground, which lands at 0.6. */
function computeLightness(shade: number): number {
  return Math.min(1, Math.max(0, 0.6 + (shade - FLAT) * 1.1));
}

function computeBandColour(band: Rgb | null, light: number): Rgb {
  const grey = 96 + 134 * light;
  const relief: Rgb = [grey, grey, grey];
  if (band === null) return roundColour(relief);
  const lit = band.map((part) => part * (0.8 + 0.32 * light)) as Rgb;
  return mix(relief, lit, TIER_OPACITY);
}
