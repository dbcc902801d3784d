import type { PlanSpec } from "@fellmark/network";
import { computeGainBelowPeakDb } from "../reception/arrival.ts";
import type { InTheWay } from "../reception/in-the-way.ts";
import type { RatedLink } from "../reception/margins.ts";
import type { AnswerLink } from "./answer-link.ts";
import type { Verdict } from "./verdict.ts";

/** Everything that the reason of an answer rests on beside its best link. */
export interface SaidOfPlace {
  verdict: Verdict;
  /** The plan that the verdict is on, its chance at the height asked for, and that at its least height. */
  plan: PlanSpec;
  probability: number;
  chanceAtLeastHeight: number | null;
  heightAglM: number;
  leastHeightAglM: number | null;
  clutterKnown: boolean;
}

/** Plain sentences: the chance of the plan, the line of sight with what is in its way, what costs signal, what to do. */
export function writeReason({ level }: RatedLink, link: AnswerLink, said: SaidOfPlace): string {
  const sentences = [
    writeChance(said),
    writeSight(link),
    ...link.inTheWay.map(writeObstacle),
    writeTrees(link),
    writeEndClutter(level.arrival.clutterCpeDb),
    writeOffBeam(computeGainBelowPeakDb(level.arrival)),
    writeSurvey(link, said),
  ];
  return sentences.filter((sentence) => sentence !== "").join(" ");
}

function writeChance({ plan, probability, chanceAtLeastHeight, heightAglM, leastHeightAglM }: SaidOfPlace): string {
  const offer = `${plan.id} (${plan.downMbps}/${plan.upMbps} Mbit/s)`;
  const here = `${formatPercent(probability)} chance at ${formatMetres(heightAglM)}`;
  if (leastHeightAglM === null || chanceAtLeastHeight === null) return `${offer}: ${here}.`;
  return `${offer}: ${formatPercent(chanceAtLeastHeight)} chance with a ${formatMetres(leastHeightAglM)} mount, ${here}.`;
}

function writeSight({ sector, distanceM, class: sight, inTheWay }: AnswerLink): string {
  const from = `${sector}, ${formatKilometres(distanceM)} away:`;
  if (sight === "blocked") return `${from} blocked.`;
  const isFree = sight === "clear" && inTheWay.length === 0;
  return isFree ? `${from} clear line of sight.` : `${from} line of sight, but the first Fresnel zone is obstructed.`;
}

const OBSTACLES = {
  ground: ["Terrain", "rises", "enters"],
  building: ["A building", "rises", "enters"],
  trees: ["Trees", "rise", "enter"],
};

function writeObstacle({ kind, distanceM, overLineM, overZoneM }: InTheWay): string {
  const [what, rises, enters] = OBSTACLES[kind];
  const where = `${what} ${formatKilometres(distanceM)} from the mast`;
  return overLineM > 0
    ? `${where} ${rises} ${formatMetres(overLineM)} above the line of sight.`
    : `${where} ${enters} the first Fresnel zone by ${formatMetres(overZoneM)}.`;
}

/** Loss by clutter from which it is worth a sentence, dB. */
const WORTH_SAYING_DB = 3;

function writeTrees({ canopyLengthM, down }: AnswerLink): string {
  const lossDb = -(down.find(({ term }) => term === "clutter-path")?.db ?? 0);
  if (lossDb < WORTH_SAYING_DB) return "";
  const through = canopyLengthM > 0 ? `, ${Math.round(canopyLengthM)} m of the ray in trees` : "";
  return `Trees and buildings on the way cost ${lossDb.toFixed(0)} dB${through}.`;
}

function writeEndClutter(lossDb: number): string {
  return lossDb < WORTH_SAYING_DB ? "" : `Trees and houses near the subscriber cost ${lossDb.toFixed(0)} dB.`;
}

/** Gain below its peak from which an antenna counts as not aimed at the place, dB. */
const OFF_BEAM_DB = 6;

function writeOffBeam(belowPeakDb: number): string {
  if (belowPeakDb < OFF_BEAM_DB) return "";
  return `This place is ${belowPeakDb.toFixed(0)} dB below the peak of the sector's antenna.`;
}

function writeSurvey({ isBelowClass }: AnswerLink, { verdict, clutterKnown }: SaidOfPlace): string {
  if (verdict !== "survey-first") return "";
  if (!clutterKnown) return "Trees and buildings here are not known: survey first.";
  if (isBelowClass) return "The line passes below the height of the land cover, which nobody measured: survey first.";
  return "";
}

function formatPercent(share: number): string {
  return `${Math.round(100 * share)} %`;
}

function formatMetres(lengthM: number): string {
  return lengthM < 10 ? `${Number(lengthM.toFixed(1))} m` : `${Math.round(lengthM)} m`;
}

function formatKilometres(lengthM: number): string {
  return `${(lengthM / 1000).toFixed(1)} km`;
}
