import type { Port } from "@fellmark/antenna";
import { type BudgetTerm, type FixedBudget, findSectorBiasDb, type LinkBudget } from "@fellmark/coverage";
import type { ModelSpec } from "@fellmark/network";
import type { Arrival } from "./arrival.ts";

/** A sector's link to the place at one antenna height, through one port of both ends. */
export interface LinkLevel {
  link: LinkBudget;
  arrival: Arrival;
  port: Port;
  /** Received level per chain with the CPE aimed at this sector, dBm. */
  signalDownDbm: number;
  signalUpDbm: number;
}

export function linkLevel(link: LinkBudget, arrival: Arrival, port: Port): LinkLevel {
  const signalDownDbm = arrival.levelDbm[port];
  // What the air does is the same both ways.
  return { link, arrival, port, signalDownDbm, signalUpDbm: signalDownDbm + link.up.baseDbm - link.down.baseDbm };
}

/** The budget of one direction, term by term up to the signal, in their fixed order. */
export function listSignalTerms(
  model: ModelSpec,
  { arrival, port, link }: LinkLevel,
  budget: FixedBudget,
): BudgetTerm[] {
  const { loss, gainDbi, gasDb, clutterCpeDb } = arrival;
  const terms = [
    ...budget.before,
    { term: "antenna", db: gainDbi[port] },
    { term: "free-space", db: -loss.freeSpaceDb },
    { term: "diffraction", db: -loss.diffractionDb },
    { term: "gas", db: -gasDb },
    ...(arrival.route.path.cover ? [{ term: "clutter-path", db: -loss.clutterPathDb }] : []),
    ...budget.after.map(({ term, db }) => ({ term, db: term === "clutter-cpe" ? -clutterCpeDb : db })),
  ];
  if (model.calibration !== null) {
    terms.push({ term: "calibration", db: 0 - arrival.calibrationDb - findSectorBiasDb(model, link.sector.id) });
  }
  return [...terms, { term: "signal", db: terms.reduce((sum, { db }) => sum + db, 0) }];
}
