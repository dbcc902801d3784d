import type { LonLat } from "@fellmark/geodesy";
import { findLocationAccuracyM, type Premises } from "../premises.ts";
import type { PremisesList } from "../premises-list.ts";
import { findMeantPremises } from "../search/meant-premises.ts";
import type { Lead } from "./lead-reader.ts";

/**
 * Place of a lead with the radius of its uncertainty in metres (0: the point is exact) and the number of typing errors in
 * its address; or the reason why the place is not known.
 */
export type LeadPlace =
  | { at: LonLat; locationAccuracyM: number; premises: Premises | null; typos: number }
  | { notKnown: { reason: string; detail: string } };

/** Returns the point of a lead: its own, else that of its premises, else that of the only address that fits. */
export function findLeadPlace(list: PremisesList | undefined, lead: Lead): LeadPlace {
  if (lead.fault) return toNotKnown(lead.fault.reason, `${lead.fault.detail}; ${lead.fault.suggestion}`);
  if (lead.point) return { at: lead.point, locationAccuracyM: 0, premises: null, typos: 0 };
  if (lead.premises !== "") {
    const premises = list?.withId(lead.premises);
    return premises ? toPlace(premises, 0) : toNotKnown("unknown_premises", "not found: no such premises");
  }
  if (lead.address === "") return toNotKnown("no_address", "there is neither an address nor a point");
  if (!list) return toNotKnown("no_premises", "no premises were imported, so no address is known");
  const meant = findMeantPremises(list, lead.address);
  if ("hit" in meant) return toPlace(meant.hit, meant.hit.typos);
  const { length } = meant.matches;
  if (length === 0) return toNotKnown("unknown_address", "no such address is known");
  return toNotKnown("several_addresses", `${length} addresses fit equally well`);
}

function toPlace({ id, address, lon, lat, qualityM }: Premises, typos: number): LeadPlace {
  const premises = { id, address, lon, lat, qualityM };
  return { at: { lon, lat }, locationAccuracyM: findLocationAccuracyM(premises), premises, typos };
}

function toNotKnown(reason: string, detail: string): LeadPlace {
  return { notKnown: { reason, detail } };
}
