import type { CoverageRequest } from "@fellmark/network";
import { CELL_CLASS } from "@fellmark/sweep";
import type { Coverage } from "../coverage.ts";
import { NO_DATA } from "../layers/layer-job.ts";
import type { CoveredCells } from "./covered-cells.ts";
import { findCellOfPlace } from "./places.ts";

/** A subscriber who would be worse off. */
export interface Harm {
  subscriber: string;
  /** Best plan at the place; null where there is none. */
  planBefore: string | null;
  planAfter: string | null;
  /** Null where no sector reaches the place, before or after. */
  sinrDownChangeDb: number | null;
  sinrUpChangeDb: number | null;
}

export interface HarmReport {
  /** True where nobody is harmed. */
  passes: boolean;
  subscribers: number;
  /** Subscribers whose place lies outside of the area or has no elevation: they are neither harmed nor safe. */
  notJudged: number;
  harmed: Harm[];
}

/** The part of a covered area that shows who is harmed. */
export interface ServedArea {
  request: Pick<CoverageRequest, "plans" | "subscribers">;
  coverage: Pick<Coverage, "window">;
  cells: Pick<CoveredCells, "tier" | "sinrDown" | "sinrUp">;
}

/** Fall of a SINR that counts as harm, dB. */
const HARM_DB = 3;

/**
 * Returns the subscribers who would lose a plan, every server, or more than 3 dB of SINR in some direction. Judged by
 * the cell that holds the place, hence with the CPE of the request, turned to the best sector.
 */
export function findHarm(before: ServedArea, after: ServedArea): HarmReport {
  const { subscribers } = before.request;
  const places = subscribers.map(({ id, ...place }) => ({ id, cell: findCellOfPlace(before.coverage.window, place) }));
  const judged = places.filter(({ cell }) => cell >= 0 && before.cells.tier[cell] < CELL_CLASS.notKnown);
  const harmed = judged.flatMap(({ id, cell }) => findHarmAtPlace(before, after, cell, id) ?? []);
  return {
    passes: harmed.length === 0,
    subscribers: subscribers.length,
    notJudged: places.length - judged.length,
    harmed,
  };
}

function findHarmAtPlace(before: ServedArea, after: ServedArea, cell: number, subscriber: string): Harm | null {
  const [was, is] = [readPlan(before, cell), readPlan(after, cell)];
  const sinrDownChangeDb = computeChangeDb(before.cells.sinrDown[cell], after.cells.sinrDown[cell]);
  const sinrUpChangeDb = computeChangeDb(before.cells.sinrUp[cell], after.cells.sinrUp[cell]);
  const losesServer = before.cells.sinrDown[cell] !== NO_DATA && after.cells.sinrDown[cell] === NO_DATA;
  const fallDb = -Math.min(sinrDownChangeDb ?? 0, sinrUpChangeDb ?? 0);
  if (is <= was && !losesServer && fallDb <= HARM_DB) return null;
  const idOf = (plan: number) => before.request.plans[plan]?.id ?? null;
  return { subscriber, planBefore: idOf(was), planAfter: idOf(is), sinrDownChangeDb, sinrUpChangeDb };
}

/** Index of the best plan at a cell; the number of plans where it has none. */
function readPlan({ request, cells }: ServedArea, cell: number): number {
  const tier = cells.tier[cell];
  return tier > 0 && tier < CELL_CLASS.notKnown ? tier - 1 : request.plans.length;
}

/** Of two SINRs in hundredths of a dB. */
function computeChangeDb(was: number, is: number): number | null {
  return was === NO_DATA || is === NO_DATA ? null : (is - was) / 100;
}
