import { gainBelowPeakDb } from "../reception/arrival.ts";
import type { RatedLink } from "../reception/margins.ts";
import type { AnswerLink } from "./answer-link.ts";

/** What the reason of an answer rests on beside its best link. */
export interface Judgement {
  plan: string;
  probability: number;
  leastHeightAglM: number | null;
  clutterKnown: boolean;
}

/** Loss by clutter at an end from which it is worth a word, dB. */
const CLUTTER_WORTH_DB = 3;

/** One plain sentence: what decides, and what would change it. */
export function reasonOf({ level }: RatedLink, link: AnswerLink, judgement: Judgement): string {
  const { plan, probability, leastHeightAglM, clutterKnown } = judgement;
  const mast = `${link.sector} at ${kilometres(link.distanceM)}`;
  const chance = `plan ${plan} holds with probability ${probability.toFixed(2)}`;
  const height = leastHeightAglM === null ? "" : `; ${leastHeightAglM} m above ground would do`;
  const unknown = clutterKnown ? "" : "; what stands on the ground is not known, so survey first";
  const aim = aimOf(gainBelowPeakDb(level.arrival));
  return `from ${mast} ${sightOf(link)}${clutterOf(level.arrival.clutterCpeDb)}${aim}; ${chance}${height}${unknown}`;
}

function kilometres(metres: number): string {
  return `${(metres / 1000).toFixed(1)} km`;
}

function sightOf({ blocking, class: sight }: AnswerLink): string {
  if (blocking) {
    const overM = blocking.excessM.toFixed(blocking.excessM < 1 ? 1 : 0);
    return `terrain ${kilometres(blocking.distanceM)} from the mast stands ${overM} m over the line`;
  }
  return sight === "clear" ? "the line is clear" : "the line is in sight, its Fresnel zone is not free";
}

function clutterOf(lossDb: number): string {
  return lossDb < CLUTTER_WORTH_DB ? "" : `, what stands around the CPE takes ${lossDb.toFixed(0)} dB`;
}

/** Gain below its peak from which an antenna counts as not aimed at the place, dB. */
const OFF_BEAM_DB = 6;

function aimOf(belowPeakDb: number): string {
  return belowPeakDb < OFF_BEAM_DB
    ? ""
    : `, the sector's antenna sends ${belowPeakDb.toFixed(0)} dB less this way than ahead`;
}
