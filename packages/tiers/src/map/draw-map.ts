import { TIER_CLASS, type TierPlan } from "../tier-class.ts";
import { computeTierAreas } from "../trace/tier-areas.ts";
import { createMapColours } from "./map-colours.ts";
import { listLegendEntries } from "./map-legend.ts";
import { drawPage, type PageOptions } from "./map-page.ts";

/** Stripes of cells not known, px. */
const HATCH_PERIOD_PX = 7;

/** Stripes of plans where a survey must come first: half plan, half ground. */
const SURVEY_PERIOD_PX = 6;

/** Classes of the raster are those of TIER_CLASS. */
export interface MapOptions extends PageOptions {
  /** 1 .. 32 plans, best first. */
  plans: TierPlan[];
}

/** A picture of the tiers, see drawPage. */
export async function drawMap(options: MapOptions): Promise<Buffer> {
  const { window, classes } = options;
  const planCount = options.plans.length;
  const colours = createMapColours(planCount);
  const hasSurvey = classes.some((tier) => tier > planCount && tier <= 2 * planCount);
  return drawPage(options, {
    palette: colours.palette,
    heading: "Best plan, down / up in Mbit/s, share of the area: the darker, the faster",
    entries: listLegendEntries(options.plans, colours, { hasSurvey, areas: computeTierAreas(window, classes) }),
    indexOf(tier, shade, x, y) {
      if (tier > planCount && tier <= 2 * planCount) {
        const isGround = (x - y + 4096 * SURVEY_PERIOD_PX) % SURVEY_PERIOD_PX < SURVEY_PERIOD_PX / 2;
        return isGround ? colours.groundIndex(shade) : colours.indexOf(tier - planCount, shade);
      }
      const stripe = (x + y) % HATCH_PERIOD_PX < 2 ? 1 : 0;
      return tier === TIER_CLASS.notKnown ? colours.hatch[stripe] : colours.indexOf(tier, shade);
    },
  });
}
