import type { AntennaPattern } from "@fellmark/antenna";
import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, PlanSpec } from "@fellmark/network";
import { multipathFadeMarginDb } from "@fellmark/propagation";
import { channelCoupling } from "@fellmark/radio";
import { dbFromRatio, milliwattsFromDbm } from "@fellmark/units";
import { AVERAGE_TERRAIN } from "../link/fade.ts";
import {
  type BudgetTerm,
  confidenceFactor,
  type EndClutterHeights,
  errorSigmaDb,
  type LinkBudget,
  linkBudgets,
} from "../link/link-budget.ts";
import { patternsOf } from "../link/patterns.ts";
import { effectiveEarthRadiusM } from "../mast.ts";
import { CELL_CLASS } from "../sweep/sweep-frame.ts";
import { interferenceAt, type LinkLevel, linkLevel } from "./link-level.ts";
import { heldPlan, heldRates, type LinkMargins, planProbability } from "./margins.ts";
import { type MastPath, pathLoss } from "./mast-path.ts";

export type Verdict = "serviceable" | "serviceable-at-height" | "survey-first" | "not-serviceable" | "not-known";

/** One sector's link to the place. Terms are signed contributions in dB; azimuth and elevation aim the kit. */
export interface AnswerLink {
  sector: string;
  distanceM: number;
  azimuthDeg: number | null;
  elevationDeg: number;
  class: "clear" | "grazing" | "blocked";
  fresnelClearance: number | null;
  blocking: { distanceM: number; heightAmslM: number; excessM: number } | null;
  /** Distances from the mast of the points that mast and kit see highest. */
  horizons: { mastDistanceM: number | null; kitDistanceM: number | null };
  /** Share of the profile without a known height, bridged by straight lines. */
  notKnownShare: number;
  downMbps: number;
  upMbps: number;
  sinrDownDb: number;
  sinrUpDb: number;
  down: BudgetTerm[];
  up: BudgetTerm[];
}

export interface Answer {
  version: 1;
  at: [number, number] | null;
  verdict: Verdict;
  heightAglM: number;
  leastHeightAglM: number | null;
  probability: number | null;
  plan: string | null;
  reason: string;
  links: AnswerLink[];
}

/** Share of a profile without elevation above which an answer is "not known". Common practice, no source. */
const MAX_NOT_KNOWN_SHARE = 0.01;

/** Probabilities between which a survey decides. Common practice, no source. */
const SERVICEABLE_PROBABILITY = 0.9;
const SURVEY_PROBABILITY = 0.4;

const HEIGHT_STEP_M = 0.5;

/** Everything about the request that no height changes. */
interface Question {
  request: CoverageRequest;
  patterns: Map<string, AntennaPattern>;
  links: LinkBudget[];
  /** The path to the place from each sector's mast; null where it is out of reach. */
  paths: (MastPath | null)[];
  clutterKnown: boolean;
}

/** The place at one antenna height: its links, best first, and how the cheapest plan stands. */
interface Standing {
  heightAglM: number;
  levels: { level: LinkLevel; margins: LinkMargins }[];
  probability: number;
}

/**
 * Whether a place can be served, with which plan, and what it would take.
 * @param clutterHeights heights of the clutter at the ends where a survey tells them; else the request's.
 * @param paths per sector of the request, the path from its mast; sectors of one mast share one object.
 */
export function answerPlace(
  request: CoverageRequest,
  at: LonLat | null,
  paths: (MastPath | null)[],
  clutterHeights?: EndClutterHeights,
): Answer {
  const patterns = patternsOf(request);
  const { clutter } = request.model;
  const clutterKnown = "class" in clutter && clutter.class !== "unknown";
  const question = { request, patterns, links: linkBudgets(request, patterns, clutterHeights), paths, clutterKnown };
  const reached = paths.filter((path) => path !== null);
  const shared = { version: 1 as const, at: at && ([at.lon, at.lat] as [number, number]) };
  if (reached.length === 0) return withoutLinks(shared, request, "not-serviceable", "no sector reaches this place");
  if (reached.some((path) => path.notKnownShare > MAX_NOT_KNOWN_SHARE)) {
    return withoutLinks(shared, request, "not-known", "the terrain on the way is not known");
  }
  return judged(shared, question);
}

function withoutLinks(
  shared: Pick<Answer, "version" | "at">,
  request: CoverageRequest,
  verdict: Verdict,
  reason: string,
): Answer {
  const { heightAglM } = request.kit;
  return { ...shared, verdict, heightAglM, leastHeightAglM: null, probability: null, plan: null, reason, links: [] };
}

function judged(shared: Pick<Answer, "version" | "at">, question: Question): Answer {
  const { request } = question;
  const now = standingAt(question, request.kit.heightAglM);
  const { verdict, leastHeightAglM } = verdictOf(question, now);
  const best = now.levels[0];
  const planNumber = heldPlan(request.plans, best.level, best.margins);
  return {
    ...shared,
    verdict,
    heightAglM: now.heightAglM,
    leastHeightAglM,
    probability: now.probability,
    plan: request.plans[planNumber - 1]?.id ?? null,
    reason: reasonOf(question, now, leastHeightAglM),
    links: now.levels.map(({ level, margins }) => answerLink(level, margins)),
  };
}

function standingAt(question: Question, heightAglM: number): Standing {
  const { request, links, paths, patterns } = question;
  const earthM = effectiveEarthRadiusM(request);
  const levels = links.flatMap((link, index) => {
    const path = paths[index];
    if (!path) return [];
    const setup = {
      mastHeightAglM: link.sector.heightAglM,
      frequencyGhz: link.frequencyGhz,
      effectiveEarthRadiusM: earthM,
    };
    const pattern = patterns.get(link.sector.antenna) as AntennaPattern;
    return [linkLevel(link, pattern, path, pathLoss(path, setup, heightAglM))];
  });
  const rated = levels
    .map((level) => ({ level, margins: marginsOf(question, level, levels) }))
    .sort((a, b) => b.level.signalDownDbm - a.level.signalDownDbm);
  return {
    heightAglM,
    levels: rated,
    probability: planProbability(cheapest(request), rated[0].level, rated[0].margins),
  };
}

function cheapest(request: CoverageRequest): PlanSpec {
  return request.plans[request.plans.length - 1];
}

function marginsOf(question: Question, level: LinkLevel, all: readonly LinkLevel[]): LinkMargins {
  const { model, kit } = question.request;
  const { link, loss } = level;
  return {
    fadeDb: multipathFadeMarginDb({
      availability: model.availability,
      distanceM: loss.groundDistanceM,
      frequencyGhz: link.frequencyGhz,
      terrainFactor: AVERAGE_TERRAIN,
    }),
    sigmaDb: errorSigmaDb(CELL_CLASS[loss.geometry.class], question.clutterKnown),
    confidenceFactor: confidenceFactor(model.confidence),
    downNoiseDbm: link.down.noiseDbm,
    upNoiseDbm: link.up.noiseDbm,
    interference: interferenceAt(
      level,
      all,
      { pattern: question.patterns.get(kit.antenna) as AntennaPattern, pointingLossDb: kit.pointingLossDb },
      ({ sector }) => channelCoupling(sector.channel, link.sector.channel) * sector.load,
    ),
  };
}

/** The verdict; while it is not known what stands on the ground, no answer is better than a survey. */
function verdictOf(question: Question, now: Standing): { verdict: Verdict; leastHeightAglM: number | null } {
  const suffices = now.probability >= SERVICEABLE_PROBABILITY;
  const taller = suffices ? [] : tallerHeights(question.request).map((height) => standingAt(question, height));
  const leastHeightAglM = leastHeight(taller);
  const best = Math.max(now.probability, ...taller.map((standing) => standing.probability));
  if (best < SURVEY_PROBABILITY) return { verdict: "not-serviceable", leastHeightAglM };
  if (!question.clutterKnown) return { verdict: "survey-first", leastHeightAglM };
  if (suffices) return { verdict: "serviceable", leastHeightAglM };
  return { verdict: leastHeightAglM === null ? "survey-first" : "serviceable-at-height", leastHeightAglM };
}

/** Heights above the kit's own up to its greatest, in steps. */
function tallerHeights({ kit }: CoverageRequest): number[] {
  const steps = Math.floor(((kit.maxHeightAglM ?? kit.heightAglM) - kit.heightAglM) / HEIGHT_STEP_M);
  return Array.from({ length: Math.max(0, steps) }, (_, step) => kit.heightAglM + (step + 1) * HEIGHT_STEP_M);
}

/** The least height from which this and every taller step suffice: loss is not monotone in height. */
function leastHeight(standings: readonly Standing[]): number | null {
  let least: number | null = null;
  for (const { heightAglM, probability } of standings.toReversed()) {
    if (probability < SERVICEABLE_PROBABILITY) break;
    least = heightAglM;
  }
  return least;
}

function answerLink(level: LinkLevel, margins: LinkMargins): AnswerLink {
  const { link, path, loss } = level;
  const { geometry } = loss;
  const { fresnelClearance } = geometry;
  return {
    sector: link.sector.id,
    distanceM: loss.groundDistanceM,
    azimuthDeg: path.backAzimuthDeg,
    elevationDeg: geometry.arrivalElevationDeg,
    class: geometry.class,
    fresnelClearance: Number.isFinite(fresnelClearance) ? fresnelClearance : null,
    blocking: geometry.blocking,
    horizons: {
      mastDistanceM: geometry.horizons.transmitter?.distanceM ?? null,
      kitDistanceM: geometry.horizons.receiver?.distanceM ?? null,
    },
    notKnownShare: path.notKnownShare,
    ...heldRates(level, margins),
    ...budgetOf(level, margins),
  };
}

/** SINR and the full list of terms, both ways. Noise counts as a contribution: what is taken off the signal's level. */
function budgetOf(level: LinkLevel, margins: LinkMargins): Pick<AnswerLink, "sinrDownDb" | "sinrUpDb" | "down" | "up"> {
  const { interference } = margins;
  const noiseMw = milliwattsFromDbm(margins.downNoiseDbm);
  const rise = dbFromRatio(1 + (interference.sameMastMw + interference.otherMastsMw) / noiseMw);
  const sinrDownDb = level.signalDownDbm - margins.downNoiseDbm - rise;
  const sinrUpDb = level.signalUpDbm - margins.upNoiseDbm;
  const tail = (noiseDbm: number, riseDb: number, sinrDb: number) => [
    { term: "noise", db: -noiseDbm },
    { term: "interference", db: 0 - riseDb },
    { term: "sinr", db: sinrDb },
    { term: "fade-margin", db: -margins.fadeDb },
    { term: "confidence-margin", db: -margins.confidenceFactor * margins.sigmaDb },
  ];
  return {
    sinrDownDb,
    sinrUpDb,
    down: [...level.downTerms, ...tail(margins.downNoiseDbm, rise, sinrDownDb)],
    up: [...level.upTerms, ...tail(margins.upNoiseDbm, 0, sinrUpDb)],
  };
}

/** One plain sentence: what decides, and what would change it. */
function reasonOf(question: Question, now: Standing, leastHeightAglM: number | null): string {
  const { level } = now.levels[0];
  const mast = `${level.link.sector.id} at ${kilometres(level.loss.groundDistanceM)}`;
  const chance = `the cheapest plan holds with probability ${now.probability.toFixed(2)}`;
  const height = leastHeightAglM === null ? "" : `; ${leastHeightAglM} m above ground would do`;
  const unknown = question.clutterKnown ? "" : "; what stands on the ground is not known, so survey first";
  return `from ${mast} ${sightOf(level)}${aimOf(level)}; ${chance}${height}${unknown}`;
}

function kilometres(metres: number): string {
  return `${(metres / 1000).toFixed(1)} km`;
}

function sightOf({ loss }: LinkLevel): string {
  const { blocking, class: sight } = loss.geometry;
  if (blocking) {
    const overM = blocking.excessM.toFixed(0);
    return `terrain ${kilometres(blocking.distanceM)} from the mast stands ${overM} m over the line`;
  }
  return sight === "clear" ? "the line is clear" : "the line is in sight, its Fresnel zone is not free";
}

/** Gain below its peak from which an antenna counts as not aimed at the place, dB. */
const OFF_BEAM_DB = 6;

function aimOf({ gainBelowPeakDb }: LinkLevel): string {
  if (gainBelowPeakDb < OFF_BEAM_DB) return "";
  return `, the sector's antenna sends ${gainBelowPeakDb.toFixed(0)} dB less this way than ahead`;
}
