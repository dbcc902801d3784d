import { type CapacityPlace, computeSectorCapacity } from "@fellmark/coverage";
import type { PlanSpec, TrafficSpec } from "@fellmark/network";

/** Load of a sector, today and with one more subscriber. */
export interface SectorLoad {
  subscribers: number;
  /** Of these, those whom the model gives no rate in some direction: what they ask for is in none of the figures. */
  cutOff: number;
  /** Busy-hour demand over capacity, of the busier direction; null where it carries nothing. */
  utilisation: number | null;
  /** Utilisation above which nothing more is sold. */
  limit: number;
  /** Months until that is reached by the growth stated; null where nothing grows. */
  monthsToFull: number | null;
  /** After the sale of each plan; `fits`: it stays at the limit or below. */
  plans: { plan: string; utilisation: number | null; fits: boolean }[];
}

/** Net rates that a place would have with the sector to itself. */
export type PlaceRates = Pick<CapacityPlace, "downMbps" | "upMbps">;

/**
 * The load of a sector with the subscribers that it has, and with one more at a place, plan by plan.
 * A place without a rate in some direction fits with no plan.
 */
export function computeSectorLoad(
  subscribers: readonly CapacityPlace[],
  newcomer: PlaceRates,
  { plans, traffic }: { plans: readonly PlanSpec[]; traffic: TrafficSpec },
): SectorLoad {
  const { greatestUtilisation } = traffic;
  const { cutOff, utilisation: now, monthsToFull } = computeSectorCapacity(subscribers, plans, traffic);
  return {
    subscribers: subscribers.length,
    cutOff,
    utilisation: subscribers.length === 0 ? 0 : now,
    limit: greatestUtilisation,
    monthsToFull,
    plans: plans.map(({ id }, index) => {
      const { utilisation } = computeSectorCapacity([...subscribers, { plan: index + 1, ...newcomer }], plans, traffic);
      const isServed = newcomer.downMbps > 0 && newcomer.upMbps > 0;
      const isFree = utilisation !== null && utilisation <= greatestUtilisation;
      return { plan: id, utilisation, fits: isServed && isFree };
    }),
  };
}
