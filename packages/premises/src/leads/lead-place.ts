import type { LonLat } from "@fellmark/geodesy";
import type { Premises } from "../premises.ts";
import type { PremisesList } from "../premises-list.ts";
import type { Lead } from "./lead-reader.ts";

/** Where a lead is, and in how many words its address had to be taken for a typo; or why the place is not known. */
export type LeadPlace =
  | { at: LonLat; premises: Premises | null; typos: number }
  | { notKnown: { reason: string; detail: string } };

/** The point of a lead: its own, else that of its premises, else that of the one address that fits. Nothing is guessed. */
export function placeOfLead(list: PremisesList | undefined, lead: Lead): LeadPlace {
  if (lead.fault) return notKnown(lead.fault.reason, `${lead.fault.detail}; ${lead.fault.suggestion}`);
  if (lead.point) return { at: lead.point, premises: null, typos: 0 };
  if (lead.premises !== "") {
    const premises = list?.withId(lead.premises);
    return premises ? foundAt(premises, 0) : notKnown("unknown_premises", "there are no such premises");
  }
  if (lead.address === "") return notKnown("no_address", "there is neither an address nor a point");
  if (!list) return notKnown("no_premises", "no premises were imported, so no address is known");
  const { hits, tie } = list.search(lead.address, { limit: 1 });
  if (tie) return notKnown("several_addresses", `${hits.length} addresses fit equally well`);
  return hits.length > 0 ? foundAt(hits[0], hits[0].typos) : notKnown("unknown_address", "no such address is known");
}

function foundAt({ id, address, lon, lat, qualityM }: Premises, typos: number): LeadPlace {
  return { at: { lon, lat }, premises: { id, address, lon, lat, qualityM }, typos };
}

function notKnown(reason: string, detail: string): LeadPlace {
  return { notKnown: { reason, detail } };
}
