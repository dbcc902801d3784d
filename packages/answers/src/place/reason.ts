import { computeGainBelowPeakDb } from "../reception/arrival.ts";
import type { InTheWay } from "../reception/in-the-way.ts";
import type { RatedLink } from "../reception/margins.ts";
import type { AnswerLink } from "./answer-link.ts";
import { formatHeight, formatKilometres, formatMetres, formatPercent } from "./format-figures.ts";
import type { HeadlineFacts } from "./headline.ts";
import type { PlanOfferAt } from "./verdict.ts";

/** Everything that the reason of an answer rests on. */
export interface SaidOfPlace extends HeadlineFacts {
  /** The link of the case considered, and its report. */
  rated: RatedLink;
  link: AnswerLink;
  /** Report of the strongest link at the height asked for. */
  linkThere: AnswerLink;
  /** Height of the roof that the CPE stands on, m above ground; 0: it stands on no roof. */
  roofM: number;
  /** Greatest chance of the plan asked for at any height up to the greatest. */
  best: { probability: number; greatestM: number };
  clutterKnown: boolean;
}

/** Plain sentences on the case considered: its chance, the line of sight, what costs signal; then other heights, the survey. */
export function writeReason(said: SaidOfPlace): string {
  const { rated, link, considered, plan } = said;
  const { arrival } = rated.level;
  const sentences = [
    `${plan.id} (${plan.downMbps}/${plan.upMbps} Mbit/s): ${writeChance(considered)}.`,
    writeRoof(said),
    writeSight(link),
    writeEndClutter(arrival.clutterCpeDb),
    writeOffBeam(computeGainBelowPeakDb(arrival)),
    ...writeAskedHeight(said),
    writeTallerMounts(said),
    writeSurvey(said),
  ];
  return sentences.filter((sentence) => sentence !== "").join(" ");
}

function writeChance({ probability, heightAglM }: PlanOfferAt): string {
  return `${formatPercent(probability)} chance at ${formatHeight(heightAglM)}`;
}

/** Sentences on the line of sight of a link, what is in its way, and what that costs. */
export function writeSight(link: AnswerLink): string {
  const from = `${link.sector}, ${formatKilometres(link.distanceM)} away:`;
  const bridged = link.notKnownShare > 0 ? "Part of the terrain is not known and was bridged." : "";
  return [...writePath(link, from), writeTrees(link), bridged].filter((sentence) => sentence !== "").join(" ");
}

function writePath(link: AnswerLink, from: string): string[] {
  return [writeClass(link, from), ...link.inTheWay.map(writeObstacle)];
}

/** The roof that a CPE stands on. */
export function writeRoof({ considered, roofM }: Pick<SaidOfPlace, "considered" | "roofM">): string {
  if (roofM === 0) return "";
  return `The CPE stands on the roof, ${formatMetres(considered.heightAglM - roofM)} above it.`;
}

/** The height asked for, where the case considered is another one. */
function writeAskedHeight({ considered, link, linkThere, heightAglM, probabilityThere }: SaidOfPlace): string[] {
  if (considered.heightAglM === heightAglM) return [];
  const chance = `At ${formatHeight(heightAglM)}: ${formatPercent(probabilityThere)} chance;`;
  return writePath(linkThere, linkThere.sector === link.sector ? chance : `${chance} ${linkThere.sector}`);
}

/** The best chance with a taller mount, where one was looked at in vain. */
function writeTallerMounts({ verdict, best, heightAglM, probabilityThere }: SaidOfPlace): string {
  if (verdict !== "not-serviceable" || best.greatestM <= heightAglM) return "";
  const mount = formatHeight(best.greatestM);
  const isNoBetter = formatPercent(best.probability) === formatPercent(probabilityThere);
  if (isNoBetter) return `A mount of up to ${mount} does not help.`;
  return `With a mount of up to ${mount}: ${formatPercent(best.probability)} chance at best.`;
}

function writeClass({ class: sight, inTheWay }: AnswerLink, from: string): string {
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

function writeSurvey({ likelihood, link, clutterKnown }: SaidOfPlace): string {
  if (likelihood === null) return "";
  const survey = `Survey first: service is ${likelihood}.`;
  if (!clutterKnown) return `Trees and buildings here are not known. ${survey}`;
  if (!link.isBelowClass) return survey;
  return `The line of sight passes below the height of the land cover, which was not measured. ${survey}`;
}
