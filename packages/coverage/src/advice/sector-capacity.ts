/** A place as its sector's capacity sees it. */
export interface CapacityPlace {
  /** Number of its plan from 1; 0 where nobody is known, which counts as much as any other such place. */
  plan: number;
  /** Net rates that it would have with the sector to itself. */
  downMbps: number;
  upMbps: number;
}

/** A plan as it is sold. */
export interface SoldPlan {
  id: string;
  downMbps: number;
  upMbps: number;
}

export interface SectorCapacity {
  places: number;
  /** Places that have no rate in some direction; capacity is that of the others. */
  cutOff: number;
  /** Throughput of the sector when every place gets its demand; 0 without service. */
  downMbps: number;
  upMbps: number;
  /** Busy-hour demand over capacity, of the busier direction; null where no subscriber is known. */
  utilisation: number | null;
  /** Speeds sold over capacity, of the busier direction; null where no subscriber is known. */
  contention: number | null;
  /** For each plan alone: subscribers who still fit. */
  room: { plan: string; subscribers: number }[];
  /** Months until the sector is full; null where that cannot be told. */
  monthsToFull: number | null;
}

/**
 * Speed sold for each unit of busy-hour demand. Common practice, no source: operators state 2 to 40, and hold more than
 * 8 for unwise.
 */
const OVERSUBSCRIPTION = 8;

/** Utilisation at which a sector is full. Common practice, no source. */
export const FULL_UTILISATION = 0.8;

/**
 * Capacity of a sector that serves its places by demand, sum(w) / sum(w / r), and how full it is.
 * @param growthPerMonth growth of demand, 0.02 for 2 % a month.
 * Example: eight places at 100 and two at 20 Mbit/s: 55.6 Mbit/s.
 */
export function computeSectorCapacity(
  places: readonly CapacityPlace[],
  plans: readonly SoldPlan[],
  growthPerMonth = 0,
): SectorCapacity {
  const served = places.filter(({ downMbps, upMbps }) => downMbps > 0 && upMbps > 0);
  const down = computeDirection(served, plans, "downMbps");
  const up = computeDirection(served, plans, "upMbps");
  const isSold = places.some(({ plan }) => plan > 0);
  const utilisation = isSold ? Math.max(down.demandMbps / down.capacityMbps, up.demandMbps / up.capacityMbps) : null;
  const room = ({ capacityMbps, demandMbps }: Direction, soldMbps: number) =>
    Math.max(0, Math.floor((FULL_UTILISATION * capacityMbps - demandMbps) / (soldMbps / OVERSUBSCRIPTION)));
  return {
    places: places.length,
    cutOff: places.length - served.length,
    downMbps: down.capacityMbps,
    upMbps: up.capacityMbps,
    utilisation: toFiniteOrNull(utilisation),
    contention: utilisation === null ? null : toFiniteOrNull(utilisation * OVERSUBSCRIPTION),
    room: plans.map(({ id, downMbps, upMbps }) => ({
      plan: id,
      subscribers: Math.min(room(down, downMbps), room(up, upMbps)),
    })),
    monthsToFull: countMonthsToFull(toFiniteOrNull(utilisation), growthPerMonth),
  };
}

interface Direction {
  capacityMbps: number;
  /** Of the busy hour, of those who have a plan. */
  demandMbps: number;
}

function computeDirection(
  served: readonly CapacityPlace[],
  plans: readonly SoldPlan[],
  direction: "downMbps" | "upMbps",
): Direction {
  let weights = 0;
  let airtime = 0;
  let soldMbps = 0;
  for (const place of served) {
    const ownMbps = place.plan > 0 ? plans[place.plan - 1][direction] : 0;
    const weight = ownMbps || 1;
    soldMbps += ownMbps;
    weights += weight;
    airtime += weight / place[direction];
  }
  return { capacityMbps: airtime === 0 ? 0 : weights / airtime, demandMbps: soldMbps / OVERSUBSCRIPTION };
}

function countMonthsToFull(utilisation: number | null, growthPerMonth: number): number | null {
  if (utilisation === null) return null;
  if (utilisation >= FULL_UTILISATION) return 0;
  if (utilisation === 0 || growthPerMonth <= 0) return null;
  return Math.log(FULL_UTILISATION / utilisation) / Math.log1p(growthPerMonth);
}

function toFiniteOrNull(value: number | null): number | null {
  return value !== null && Number.isFinite(value) ? value : null;
}
