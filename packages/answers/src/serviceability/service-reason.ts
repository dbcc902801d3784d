import type { Expiry } from "./expiry.ts";
import { writeLocationClause } from "./location-accuracy.ts";
import type { PlanOffer, Serviceability } from "./service-report.ts";

/** What people must hear beside the reason of the answer at the point itself. */
type Spoken = Pick<Serviceability, "locationAccuracy" | "plans" | "offer" | "expires">;

/** One plain sentence: the pin where it decides, why, what is sold, and until when. */
export function writeServiceReason(reason: string, { locationAccuracy, plans, offer, expires }: Spoken): string {
  // Only what is served expires.
  const sale = expires === null ? "" : writeSaleClause(plans, offer) + writeExpiryClause(expires);
  return `${writeLocationClause(locationAccuracy)}${reason}${sale}`;
}

/** What keeps a better plan, or any, from being promised. */
function writeSaleClause(plans: readonly PlanOffer[], offer: string | null): string {
  if (offer === null) {
    const isFull = plans.some(({ lacks }) => lacks === null);
    const why = isFull ? "the sector has no room for another subscriber" : "none holds with the margins";
    return `; no plan can be promised: ${why}`;
  }
  const better = plans.slice(
    0,
    plans.findIndex(({ plan }) => plan === offer),
  );
  const downOnly = better.find(({ lacks }) => lacks === "up");
  return downOnly ? `; plan ${downOnly.plan} would hold down but not up` : "";
}

function writeExpiryClause({ because, on }: Expiry): string {
  return because === "trees" ? `; trees may outgrow it by ${on}: mount it higher` : "";
}
