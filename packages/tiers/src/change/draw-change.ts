import type { Rgb } from "@fellmark/picture";
import { createMapColours } from "../map/map-colours.ts";
import { drawPage, type PageOptions } from "../map/map-page.ts";
import { TIER_CLASS } from "../tier-class.ts";
import { CHANGES } from "./changes.ts";

const STRIPE_PERIOD_PX = 8;

/** Colours of what is won and what is lost: apart in lightness and along blue and yellow, and the stripes lie crosswise. */
const WON: Rgb = [24, 66, 150];
const GONE: Rgb = [176, 92, 10];

/** Stripes by class of change, from 1. */
const STRIPES = [
  { isFalling: false, width: 4 },
  { isFalling: true, width: 4 },
  { isFalling: false, width: 1.5 },
  { isFalling: true, width: 1.5 },
];

/** A picture of a change in two hatches over the hillshade, see drawPage. Classes are those of CHANGES, from 1. */
export async function drawChange(options: PageOptions): Promise<Buffer> {
  const colours = createMapColours(0);
  const palette = [...colours.palette, WON, GONE];
  const inkOf = (stripe: number) => (STRIPES[stripe].isFalling ? palette.length - 1 : palette.length - 2);
  const relief = palette[colours.indexOf(0, Math.SQRT1_2)];
  return drawPage(options, {
    palette,
    heading: "What the change does",
    entries: [
      ...CHANGES.map((label, stripe) => ({
        label,
        colours: [relief, palette[inkOf(stripe)]],
        stripes: STRIPES[stripe],
      })),
      { label: "no change", colours: [relief] },
      { label: "not known", colours: colours.hatch.map((index) => palette[index]) },
    ],
    indexOf(change, shade, x, y) {
      const rising = (x + y) % STRIPE_PERIOD_PX;
      if (change === TIER_CLASS.notKnown) return colours.hatch[rising < 2 ? 1 : 0];
      const stripes = STRIPES[change - 1];
      if (stripes === undefined) return colours.indexOf(change, shade);
      const place = stripes.isFalling ? (x - y + 4096 * STRIPE_PERIOD_PX) % STRIPE_PERIOD_PX : rising;
      return place < stripes.width ? inkOf(change - 1) : colours.indexOf(0, shade);
    },
  });
}
