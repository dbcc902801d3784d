import type { PlanSpec, TrafficSpec } from "@fellmark/network";

/** A place as its sector's capacity sees it. */
export interface CapacityPlace {
  /** Number of its plan from 1; 0 where nobody is known, which counts as much as any other such place. */
  plan: number;
  /** Net rates that it would have with the sector to itself. */
  downMbps: number;
  upMbps: number;
}

/** A plan as it is sold, and how much of it is asked for at once. */
export type SoldPlan = Pick<PlanSpec, "id" | "downMbps" | "upMbps" | "oversubscription" | "busyHour">;

export interface SectorCapacity {
  places: number;
  /** Places that have no rate in some direction; capacity is that of the others. */
  cutOff: number;
  /** Throughput of the sector when every place gets its demand; 0 without service. */
  downMbps: number;
  upMbps: number;
  /** Busy-hour demand of the subscribers. */
  demandDownMbps: number;
  demandUpMbps: number;
  /** Busy-hour demand over capacity, of the busier direction; null where no subscriber is known. */
  utilisation: number | null;
  /** Speeds sold over capacity, of the busier direction; null where no subscriber is known. */
  contention: number | null;
  /** For each plan alone: subscribers who still fit. */
  room: { plan: string; subscribers: number }[];
  /** Months until the sector is full; null where that cannot be told. */
  monthsToFull: number | null;
  /** Utilisation after each of the next years of growth; empty where nothing grows or no subscriber is known. */
  years: { year: number; utilisation: number }[];
}

type Direction = "downMbps" | "upMbps";

const YEARS = [1, 2, 3, 4, 5];
const MONTHS_A_YEAR = 12;

/** Demand of one subscriber of a plan in the busy hour, Mbit/s: as measured, or the speed sold over the oversubscription. */
function computeDemandMbps({ busyHour, oversubscription, ...sold }: SoldPlan, direction: Direction): number {
  return busyHour?.[direction] ?? sold[direction] / oversubscription;
}

/**
 * Capacity of a sector that serves its places by demand, sum(w) / sum(w / r), and how full it is.
 * Example: eight places at 100 and two at 20 Mbit/s: 55.6 Mbit/s.
 */
export function computeSectorCapacity(
  places: readonly CapacityPlace[],
  plans: readonly SoldPlan[],
  { greatestUtilisation, growthPerMonth }: TrafficSpec,
): SectorCapacity {
  const served = places.filter(({ downMbps, upMbps }) => downMbps > 0 && upMbps > 0);
  const down = sumDirection(served, plans, "downMbps");
  const up = sumDirection(served, plans, "upMbps");
  const isSold = places.some(({ plan }) => plan > 0);
  const busier = (share: (direction: DirectionSum) => number) =>
    isSold ? toFiniteOrNull(Math.max(share(down), share(up))) : null;
  const utilisation = busier(({ demandMbps, capacityMbps }) => demandMbps / capacityMbps);
  const countRoom = ({ capacityMbps, demandMbps }: DirectionSum, ownMbps: number) =>
    Math.max(0, Math.floor((greatestUtilisation * capacityMbps - demandMbps) / ownMbps));
  return {
    places: places.length,
    cutOff: places.length - served.length,
    downMbps: down.capacityMbps,
    upMbps: up.capacityMbps,
    demandDownMbps: down.demandMbps,
    demandUpMbps: up.demandMbps,
    utilisation,
    contention: busier(({ soldMbps, capacityMbps }) => soldMbps / capacityMbps),
    room: plans.map((plan) => ({
      plan: plan.id,
      subscribers: Math.min(
        countRoom(down, computeDemandMbps(plan, "downMbps")),
        countRoom(up, computeDemandMbps(plan, "upMbps")),
      ),
    })),
    monthsToFull: countMonthsToFull(utilisation, growthPerMonth, greatestUtilisation),
    years: utilisation === null || growthPerMonth === 0 ? [] : listYears(utilisation, growthPerMonth),
  };
}

interface DirectionSum {
  capacityMbps: number;
  /** Of those who have a plan: demand in the busy hour, and speeds sold. */
  demandMbps: number;
  soldMbps: number;
}

function sumDirection(
  served: readonly CapacityPlace[],
  plans: readonly SoldPlan[],
  direction: Direction,
): DirectionSum {
  let weights = 0;
  let airtime = 0;
  let demandMbps = 0;
  let soldMbps = 0;
  for (const place of served) {
    const plan = place.plan > 0 ? plans[place.plan - 1] : null;
    const ownMbps = plan === null ? 0 : computeDemandMbps(plan, direction);
    const weight = ownMbps || 1;
    demandMbps += ownMbps;
    soldMbps += plan?.[direction] ?? 0;
    weights += weight;
    airtime += weight / place[direction];
  }
  return { capacityMbps: airtime === 0 ? 0 : weights / airtime, demandMbps, soldMbps };
}

function countMonthsToFull(utilisation: number | null, growthPerMonth: number, greatest: number): number | null {
  if (utilisation === null) return null;
  if (utilisation >= greatest) return 0;
  if (utilisation === 0 || growthPerMonth <= 0) return null;
  return Math.log(greatest / utilisation) / Math.log1p(growthPerMonth);
}

function listYears(utilisation: number, growthPerMonth: number): SectorCapacity["years"] {
  return YEARS.map((year) => ({ year, utilisation: utilisation * (1 + growthPerMonth) ** (MONTHS_A_YEAR * year) }));
}

function toFiniteOrNull(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}
