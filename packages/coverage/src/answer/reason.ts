import type { Arrival } from "./arrival.ts";
import type { RatedLink } from "./margins.ts";

/** What the reason of an answer rests on beside its best link. */
export interface Judgement {
  probability: number;
  leastHeightAglM: number | null;
  clutterKnown: boolean;
}

/** One plain sentence: what decides, and what would change it. */
export function reasonOf({ level }: RatedLink, { probability, leastHeightAglM, clutterKnown }: Judgement): string {
  const { link, arrival } = level;
  const mast = `${link.sector.id} at ${kilometres(arrival.loss.groundDistanceM)}`;
  const chance = `the cheapest plan holds with probability ${probability.toFixed(2)}`;
  const height = leastHeightAglM === null ? "" : `; ${leastHeightAglM} m above ground would do`;
  const unknown = clutterKnown ? "" : "; what stands on the ground is not known, so survey first";
  return `from ${mast} ${sightOf(arrival)}${aimOf(arrival)}; ${chance}${height}${unknown}`;
}

function kilometres(metres: number): string {
  return `${(metres / 1000).toFixed(1)} km`;
}

function sightOf({ loss }: Arrival): string {
  const { blocking, class: sight } = loss.geometry;
  if (blocking) {
    const overM = blocking.excessM.toFixed(0);
    return `terrain ${kilometres(blocking.distanceM)} from the mast stands ${overM} m over the line`;
  }
  return sight === "clear" ? "the line is clear" : "the line is in sight, its Fresnel zone is not free";
}

/** Gain below its peak from which an antenna counts as not aimed at the place, dB. */
const OFF_BEAM_DB = 6;

function aimOf({ gainBelowPeakDb }: Arrival): string {
  if (gainBelowPeakDb < OFF_BEAM_DB) return "";
  return `, the sector's antenna sends ${gainBelowPeakDb.toFixed(0)} dB less this way than ahead`;
}
