import { findGeodesicPoint, type LonLat } from "@fellmark/geodesy";
import type { Answer, Likelihood, Verdict } from "../place/answer.ts";

/** Outcome at one point of the circle. */
export interface PointVerdict {
  at: LonLat;
  verdict: Verdict;
  probability: number | null;
}

/** Verdicts over the circle in which the house lies. */
export interface LocationReport {
  radiusM: number;
  /** Number of points by verdict. */
  verdicts: Partial<Record<Verdict, number>>;
  agrees: boolean;
  /** The point where the answer is best; the given point where none is better. */
  best: { at: [number, number]; verdict: Verdict; probability: number | null };
}

const AROUND = 8;

/** The point, then eight on the circle around it, clockwise from north; the point alone where the radius is 0. */
export function listLocationPoints(at: LonLat, radiusM: number): LonLat[] {
  if (radiusM === 0) return [at];
  const around = Array.from({ length: AROUND }, (_, index) => findGeodesicPoint(at, (360 / AROUND) * index, radiusM));
  return [at, ...around];
}

/**
 * The answer at a point as its whole circle allows it, said so in its reason: where the verdicts of its points differ, a survey.
 * @param answers at the points of listLocationPoints, in their order.
 */
export function answerAtLocation(
  answers: readonly Answer[],
  points: readonly LonLat[],
  radiusM: number,
): { answer: Answer; locationAccuracy: LocationReport } {
  const locationAccuracy = judgeLocationAccuracy(
    answers.map((answer, index) => ({ ...answer, at: points[index] })),
    radiusM,
  );
  const [own] = answers;
  if (locationAccuracy.agrees) return { answer: own, locationAccuracy };
  const likelihood = own.likelihood ?? findLikelihoodOver(answers);
  const survey = own.verdict === "survey-first" ? "" : ` Survey first: service is ${likelihood}.`;
  const answer: Answer = {
    ...own,
    verdict: "survey-first",
    likelihood,
    leastHeightAglM: own.leastHeightAglM ?? findLeastHeight(answers),
    headline: `survey first, service ${likelihood}: verdicts differ within ${radiusM} m. At the point itself: ${own.headline}`,
    reason: `${writeLocation(locationAccuracy)} At the point itself: ${own.reason}${survey}`,
  };
  return { answer, locationAccuracy };
}

/** Likely where at least half of the points can be served or are likely to be. */
function findLikelihoodOver(answers: readonly Answer[]): Likelihood {
  const good = answers.filter(
    ({ verdict, likelihood }) => verdict.startsWith("serviceable") || likelihood === "likely",
  );
  return 2 * good.length >= answers.length ? "likely" : "unlikely";
}

/** Least height of a mount that serves any of the points. */
function findLeastHeight(answers: readonly Answer[]): number | null {
  const heights = answers.flatMap(({ verdict, considered }) =>
    considered && verdict.startsWith("serviceable") ? [considered.heightAglM] : [],
  );
  return heights.length === 0 ? null : Math.min(...heights);
}

function writeLocation({ radiusM, best }: LocationReport): string {
  const where = best.at.map((degrees) => degrees.toFixed(5)).join(", ");
  const verdict = best.verdict.replaceAll("-", " ");
  return `The house lies within ${radiusM} m of the point, where verdicts differ (best: ${verdict} at ${where}).`;
}

const FROM_BEST: readonly Verdict[] = [
  "serviceable",
  "serviceable-at-height",
  "survey-first",
  "not-serviceable",
  "not-known",
];

/** @param points the given point first, 1 or more. */
export function judgeLocationAccuracy(points: readonly PointVerdict[], radiusM: number): LocationReport {
  const verdicts: LocationReport["verdicts"] = {};
  for (const { verdict } of points) verdicts[verdict] = (verdicts[verdict] ?? 0) + 1;
  const { at, verdict, probability } = points.reduce((best, point) => (isBetter(point, best) ? point : best));
  return {
    radiusM,
    verdicts,
    agrees: Object.keys(verdicts).length === 1,
    best: { at: [at.lon, at.lat], verdict, probability },
  };
}

function isBetter(one: PointVerdict, other: PointVerdict): boolean {
  const ranks = FROM_BEST.indexOf(other.verdict) - FROM_BEST.indexOf(one.verdict);
  return ranks > 0 || (ranks === 0 && (one.probability ?? 0) > (other.probability ?? 0));
}
