import type { Expiry } from "./expiry.ts";
import type { PlanOffer, Serviceability } from "./service-report.ts";

/** Facts that follow the reason of the answer at the point itself. */
type Spoken = Pick<Serviceability, "plans" | "offer" | "expires">;

/** The reason of an answer, then what is sold where service is promised, and until when. */
export function writeServiceReason(reason: string, { plans, offer, expires }: Spoken): string {
  // Only what is served expires.
  if (expires === null) return reason;
  return [reason, writeSale(plans, offer), writeExpiry(expires)].filter((sentence) => sentence !== "").join(" ");
}

/** The reason why a better plan, or any, cannot be promised. */
function writeSale(plans: readonly PlanOffer[], offer: string | null): string {
  if (offer === null) {
    const isFull = plans.some(({ lacks }) => lacks === null);
    const why = isFull ? "the sector has no room for another subscriber" : "no plan is met with the margins";
    return `No plan can be promised: ${why}.`;
  }
  const better = plans.slice(
    0,
    plans.findIndex(({ plan }) => plan === offer),
  );
  const downOnly = better.find(({ lacks }) => lacks === "up");
  return downOnly ? `Plan ${downOnly.plan} is met down but not up.` : "";
}

function writeExpiry({ because, on }: Expiry): string {
  return because === "trees" ? `Trees may grow into the path by ${on}: mount the CPE higher.` : "";
}
