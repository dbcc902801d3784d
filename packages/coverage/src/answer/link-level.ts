import type { Port } from "@fellmark/antenna";
import type { BudgetTerm, FixedBudget, LinkBudget } from "../link/link-budget.ts";
import type { Arrival } from "./arrival.ts";

/** A sector's link to the place at one antenna height, through one port of both ends. */
export interface LinkLevel {
  link: LinkBudget;
  arrival: Arrival;
  port: Port;
  /** Terms of the budget up to the signal, in their fixed order. */
  downTerms: BudgetTerm[];
  upTerms: BudgetTerm[];
  /** Received level per chain with the kit aimed at this sector, dBm. */
  signalDownDbm: number;
  signalUpDbm: number;
}

/** Budget of a link, term by term, down and up. */
export function linkLevel(link: LinkBudget, arrival: Arrival, port: Port): LinkLevel {
  const downTerms = signalTerms(link, link.down, arrival, port);
  const upTerms = signalTerms(link, link.up, arrival, port);
  return {
    link,
    arrival,
    port,
    downTerms,
    upTerms,
    signalDownDbm: downTerms[downTerms.length - 1].db,
    signalUpDbm: upTerms[upTerms.length - 1].db,
  };
}

function signalTerms(link: LinkBudget, budget: FixedBudget, { loss, gainDbi }: Arrival, port: Port): BudgetTerm[] {
  const terms = [
    ...budget.before,
    { term: "antenna", db: gainDbi[port] },
    { term: "free-space", db: -loss.freeSpaceDb },
    { term: "diffraction", db: -loss.diffractionDb },
    { term: "gas", db: -link.gasDbPerKm * (loss.slantM / 1000) },
    ...budget.after,
  ];
  return [...terms, { term: "signal", db: terms.reduce((sum, { db }) => sum + db, 0) }];
}
