import type { PathClass } from "../path/path-geometry.ts";

/** Spread of the error of a predicted loss by class of the path, dB. Source: common practice, no source. */
const SPREAD_DB: Readonly<Record<PathClass, number>> = { clear: 4, grazing: 6, blocked: 9 };

export interface LossSpreadInput {
  pathClass: PathClass;
  /** Loss by trees and buildings at both ends and on the way, dB; null where it is not known what stands there. */
  clutterLossDb: number | null;
}

/**
 * Standard deviation of the error of a predicted loss, dB: that of the path's class, and at least the one of a blocked
 * path wherever trees or buildings cost anything or are not known. The models of clutter are that wide: at 915 MHz the
 * default method leaves 6.6 dB on rural links with the clutter at their ends known, and 8.5 dB came from the season
 * alone in one forest (ITU-R P.833-10, section 2.1).
 * Source: common practice, no source. Example: a clear path with 0.1 dB of clutter: 9 dB.
 */
export function findLossSpreadDb({ pathClass, clutterLossDb }: LossSpreadInput): number {
  const isFree = clutterLossDb !== null && clutterLossDb <= 0;
  return isFree ? SPREAD_DB[pathClass] : SPREAD_DB.blocked;
}
