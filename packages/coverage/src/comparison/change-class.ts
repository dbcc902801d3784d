import { CELL_CLASS } from "@fellmark/sweep";

/** Effect of a change on a cell; numbers from 1 are drawn and traced. */
export const CHANGE_CLASS = {
  unchanged: 0,
  /** Service where there was none. */
  gained: 1,
  /** No service where there was some. */
  lost: 2,
  betterPlan: 3,
  worsePlan: 4,
  notKnown: CELL_CLASS.notKnown,
  outside: CELL_CLASS.outside,
} as const;

/** Classes of the change between two tier rasters of one window. */
export function classifyChanges(before: Uint8Array, after: Uint8Array): Uint8Array {
  return Uint8Array.from(before, (tier, cell) => classifyChange(tier, after[cell]));
}

/** A cell that only one of the two knows or covers counts as without service in the other. */
function classifyChange(before: number, after: number): number {
  if (before === CELL_CLASS.outside && after === CELL_CLASS.outside) return CHANGE_CLASS.outside;
  if (before === CELL_CLASS.notKnown && after >= CELL_CLASS.notKnown) return CHANGE_CLASS.notKnown;
  if (after === CELL_CLASS.notKnown && before >= CELL_CLASS.notKnown) return CHANGE_CLASS.notKnown;
  const [was, is] = [rank(before), rank(after)];
  if (was === is) return CHANGE_CLASS.unchanged;
  if (was === NO_PLAN) return CHANGE_CLASS.gained;
  if (is === NO_PLAN) return CHANGE_CLASS.lost;
  return is < was ? CHANGE_CLASS.betterPlan : CHANGE_CLASS.worsePlan;
}

/** Plans count from 1, the best; whatever is not a plan is worse than all. */
const NO_PLAN = CELL_CLASS.notKnown;

function rank(tier: number): number {
  return tier === 0 || tier >= CELL_CLASS.notKnown ? NO_PLAN : tier;
}
