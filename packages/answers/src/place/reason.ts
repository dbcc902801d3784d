import type { PlanSpec } from "@fellmark/network";
import { computeGainBelowPeakDb } from "../reception/arrival.ts";
import type { InTheWay } from "../reception/in-the-way.ts";
import type { RatedLink } from "../reception/margins.ts";
import type { AnswerLink } from "./answer-link.ts";
import type { Likelihood, PlanOfferAt, Verdict } from "./verdict.ts";

/** Everything that the reason of an answer rests on. */
export interface SaidOfPlace {
  verdict: Verdict;
  likelihood: Likelihood | null;
  /** The case that the answer is about: its link, its report, plan and height. */
  considered: { rated: RatedLink; link: AnswerLink; offer: PlanOfferAt; plan: PlanSpec };
  /** The strongest link at the height asked for, and the chance of the same plan there. */
  asked: { link: AnswerLink; heightAglM: number; probability: number };
  /** Greatest chance of the plan asked for at any height up to the greatest. */
  best: { probability: number; greatestM: number };
  clutterKnown: boolean;
}

/** Plain sentences on the case considered: its chance, the line of sight, what costs signal; then other heights, the survey. */
export function writeReason(said: SaidOfPlace): string {
  const { rated, link, offer, plan } = said.considered;
  const { arrival } = rated.level;
  const sentences = [
    `${plan.id} (${plan.downMbps}/${plan.upMbps} Mbit/s): ${writeChance(offer)}.`,
    ...writePath(link, `${link.sector}, ${formatKilometres(link.distanceM)} away:`),
    writeTrees(link),
    writeEndClutter(arrival.clutterCpeDb),
    writeOffBeam(computeGainBelowPeakDb(arrival)),
    ...writeAskedHeight(said),
    writeTallerMounts(said),
    writeSurvey(said),
  ];
  return sentences.filter((sentence) => sentence !== "").join(" ");
}

function writeChance({ probability, heightAglM }: PlanOfferAt): string {
  return `${formatPercent(probability)} chance at ${formatMetres(heightAglM)}`;
}

/** Sentences on the line of sight and on what is in its way. */
function writePath(link: AnswerLink, from: string): string[] {
  return [writeSight(link, from), ...link.inTheWay.map(writeObstacle)];
}

/** The height asked for, where the case considered is another one. */
function writeAskedHeight({ considered, asked }: SaidOfPlace): string[] {
  if (considered.offer.heightAglM === asked.heightAglM) return [];
  const { link, heightAglM, probability } = asked;
  const chance = `At ${formatMetres(heightAglM)}: ${formatPercent(probability)} chance;`;
  return writePath(link, link.sector === considered.link.sector ? chance : `${chance} ${link.sector}`);
}

/** That no mount helps, where higher ones were looked at. */
function writeTallerMounts({ verdict, best, asked }: SaidOfPlace): string {
  if (verdict !== "not-serviceable" || best.greatestM <= asked.heightAglM) return "";
  return `No mount up to ${formatMetres(best.greatestM)} gives more than ${formatPercent(best.probability)}.`;
}

function writeSight({ class: sight, inTheWay }: AnswerLink, from: string): string {
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

function writeSurvey({ likelihood, considered, clutterKnown }: SaidOfPlace): string {
  if (likelihood === null) return "";
  const survey = `Survey first: service is ${likelihood}.`;
  if (!clutterKnown) return `Trees and buildings here are not known. ${survey}`;
  if (!considered.link.isBelowClass) return survey;
  return `The line of sight passes below the height of the land cover, which was not measured. ${survey}`;
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
