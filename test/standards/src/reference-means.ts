import {
  type AntennaPattern,
  computeSphereMean,
  createSectoralGain,
  type DishReference,
  type SectoralReference,
} from "@fellmark/antenna";
import { RAD_PER_DEG, toRatio } from "@fellmark/units";

/** Steps that keep the means of patterns a few degrees wide within 0.0005. */
const SECTOR_STEP_DEG = 0.25;
const DISH_STEP_DEG = 0.005;

/** Mean over the sphere of a sector reference, linear. */
export function sectoralMean(reference: SectoralReference): number {
  const pattern: AntennaPattern = {
    peakGainDbi: reference.gainDbi,
    levels: "average",
    gainDbi: createSectoralGain(reference),
  };
  return computeSphereMean(pattern, 0, SECTOR_STEP_DEG);
}

/** Mean over the sphere of a round reference: rings of exact solid angle about boresight. */
export function dishMean(gainDbi: (dish: DishReference, offDeg: number) => number, dish: DishReference): number {
  let mean = 0;
  for (let ring = 0; ring < 180 / DISH_STEP_DEG; ring++) {
    const [inner, outer] = [ring * DISH_STEP_DEG * RAD_PER_DEG, (ring + 1) * DISH_STEP_DEG * RAD_PER_DEG];
    mean += toRatio(gainDbi(dish, (ring + 0.5) * DISH_STEP_DEG)) * ((Math.cos(inner) - Math.cos(outer)) / 2);
  }
  return mean;
}
