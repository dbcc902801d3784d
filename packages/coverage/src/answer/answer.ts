import type { Port } from "@fellmark/antenna";
import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, PlanSpec } from "@fellmark/network";
import { isClutterStated, statedClutter } from "../link/end-clutter.ts";
import { linkFadeDb } from "../link/fade.ts";
import { confidenceFactor, errorSigmaDb, type LinkBudget, linkBudgets } from "../link/link-budget.ts";
import { type Overlap, overlapOf } from "../link/overlap.ts";
import { patternsOf } from "../link/patterns.ts";
import { isSplit, type Transmitter, transmittersOf } from "../link/transmitters.ts";
import { effectiveEarthRadiusM } from "../mast.ts";
import { quietNoise, type SectorNoise } from "../sector-noise/sector-noise.ts";
import { type AnswerLink, answerLink, sinrDownDb } from "./answer-link.ts";
import { type Arrival, arrivalOf, interferenceAt, type Kit } from "./arrival.ts";
import { linkLevel } from "./link-level.ts";
import { heldPlan, type PortLink, planProbability, type RatedLink } from "./margins.ts";
import { type MastPath, pathLoss } from "./mast-path.ts";
import { reasonOf } from "./reason.ts";

export type Verdict = "serviceable" | "serviceable-at-height" | "survey-first" | "not-serviceable" | "not-known";

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
  links: LinkBudget[];
  transmitters: Transmitter[];
  overlaps: Overlap[];
  noise: SectorNoise[];
  /** The path to the place from each transmitter; null where it is out of reach. */
  paths: (MastPath | null)[];
  kit: Kit;
  clutterKnown: boolean;
}

/** The place at one antenna height: its links, best first, and how the cheapest plan stands. */
interface Standing {
  heightAglM: number;
  links: RatedLink[];
  probability: number;
}

/** What a place is judged by, beside the request. */
export interface PlaceInput {
  /** Null for the end of a profile without coordinates. */
  at: LonLat | null;
  /** For each sector, then each emitter, the path to the place; those of one place share one object. */
  paths: (MastPath | null)[];
  /** Heights of the clutter at the ends where a survey tells them; else the request's. */
  clutterHeights?: { mastM: number; kitM: number };
  /** What every sector hears; absent: its own noise only. */
  noise?: SectorNoise[];
}

/** Whether a place can be served, with which plan, and what it would take. */
export function answerPlace(request: CoverageRequest, { at, paths, clutterHeights, noise }: PlaceInput): Answer {
  const shared = { version: 1 as const, at: at && ([at.lon, at.lat] as [number, number]) };
  const isReached = paths.slice(0, request.sectors.length).some((path) => path !== null);
  if (!isReached) return withoutLinks(shared, request, "not-serviceable", "no sector reaches this place");
  if (paths.some((path) => path && path.notKnownShare > MAX_NOT_KNOWN_SHARE)) {
    return withoutLinks(shared, request, "not-known", "the terrain on the way is not known");
  }
  const patterns = patternsOf(request);
  const links = linkBudgets(request, patterns, () => statedClutter(request.model, clutterHeights));
  const question: Question = {
    request,
    links,
    transmitters: transmittersOf(request, patterns, links),
    overlaps: links.map((_, victim) => overlapOf(request, victim)),
    noise: noise ?? quietNoise(links),
    paths,
    kit: {
      pattern: patterns.get(request.kit.antenna, links[0].frequencyGhz),
      pointingLossDb: request.kit.pointingLossDb,
      model: request.model,
    },
    clutterKnown: isClutterStated(request.model),
  };
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
  const planNumber = heldPlan(request.plans, now.links[0]);
  return {
    ...shared,
    verdict,
    heightAglM: now.heightAglM,
    leastHeightAglM,
    probability: now.probability,
    plan: request.plans[planNumber - 1]?.id ?? null,
    reason: reasonOf(now.links[0], { ...now, leastHeightAglM, clutterKnown: question.clutterKnown }),
    links: now.links.map(answerLink),
  };
}

function standingAt(question: Question, heightAglM: number): Standing {
  const { request, transmitters, paths, kit } = question;
  const effectiveRadiusM = effectiveEarthRadiusM(request);
  const arrivals = transmitters.flatMap((transmitter, source) => {
    const path = paths[source];
    if (!path) return [];
    const { heightAglM: mastHeightAglM, frequencyGhz } = transmitter;
    const setup = { mastHeightAglM, frequencyGhz, effectiveEarthRadiusM: effectiveRadiusM };
    return arrivalOf(request, source, transmitter, path, pathLoss(path, setup, heightAglM));
  });
  const ports = isSplit(transmitters, kit.pattern) ? ([0, 1] as const) : ([0] as const);
  const links = arrivals
    .filter(({ source }) => source < question.links.length)
    .map((arrival) => ratedLink(ports.map((port) => portLink(question, arrival, arrivals, port))))
    .sort((a, b) => b.level.signalDownDbm - a.level.signalDownDbm);
  return { heightAglM, links, probability: planProbability(cheapest(request), links[0]) };
}

/** Both streams go by the port with the lower SINR. */
function ratedLink(ports: PortLink[]): RatedLink {
  const [worse, better] = ports.toSorted((a, b) => sinrDownDb(a) - sinrDownDb(b));
  return { ...worse, better: better ?? null };
}

function cheapest(request: CoverageRequest): PlanSpec {
  return request.plans[request.plans.length - 1];
}

function portLink(question: Question, arrival: Arrival, all: readonly Arrival[], port: Port): PortLink {
  const { model } = question.request;
  const { loss, source } = arrival;
  const link = question.links[source];
  const margins = {
    fadeDb: linkFadeDb(model, loss.groundDistanceM, link.frequencyGhz),
    sigmaDb: errorSigmaDb(model, loss.geometry.class, question.clutterKnown),
    confidenceFactor: confidenceFactor(model.confidence),
    downNoiseDbm: link.down.noiseDbm,
    upNoise: question.noise[source],
    interference: interferenceAt(arrival, all, question.overlaps[source], question.kit, port),
  };
  return { level: linkLevel(link, arrival, port), margins };
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
