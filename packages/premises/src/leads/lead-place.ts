import type { LonLat } from "@fellmark/geodesy";
import { locationAccuracyOf, type Premises } from "../premises.ts";
import type { PremisesList } from "../premises-list.ts";
import { premisesMeant } from "../search/meant-premises.ts";
import type { Lead } from "./lead-reader.ts";

/**
 * Where a lead is, within a circle of so many metres (0: the point is exact), and in how many words its address had to be
 * taken for a typo; or why the place is not known.
 */
export type LeadPlace =
  | { at: LonLat; locationAccuracyM: number; premises: Premises | null; typos: number }
  | { notKnown: { reason: string; detail: string } };

/** The point of a lead: its own, else that of its premises, else that of the one address that fits. Nothing is guessed. */
export function placeOfLead(list: PremisesList | undefined, lead: Lead): LeadPlace {
  if (lead.fault) return notKnown(lead.fault.reason, `${lead.fault.detail}; ${lead.fault.suggestion}`);
  if (lead.point) return { at: lead.point, locationAccuracyM: 0, premises: null, typos: 0 };
  if (lead.premises !== "") {
    const premises = list?.withId(lead.premises);
    return premises ? foundAt(premises, 0) : notKnown("unknown_premises", "there are no such premises");
  }
  if (lead.address === "") return notKnown("no_address", "there is neither an address nor a point");
  if (!list) return notKnown("no_premises", "no premises were imported, so no address is known");
  const meant = premisesMeant(list, lead.address);
  if ("hit" in meant) return foundAt(meant.hit, meant.hit.typos);
  const { length } = meant.matches;
  if (length === 0) return notKnown("unknown_address", "no such address is known");
  return notKnown("several_addresses", `${length} addresses fit equally well`);
}

function foundAt({ id, address, lon, lat, qualityM }: Premises, typos: number): LeadPlace {
  const premises = { id, address, lon, lat, qualityM };
  return { at: { lon, lat }, locationAccuracyM: locationAccuracyOf(premises), premises, typos };
}

function notKnown(reason: string, detail: string): LeadPlace {
  return { notKnown: { reason, detail } };
}
