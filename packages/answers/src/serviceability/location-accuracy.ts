import { findGeodesicPoint, type LonLat } from "@fellmark/geodesy";
import type { Answer, Verdict } from "../place/answer.ts";

/** What is asked about each point of a pin. */
export interface PointVerdict {
  at: LonLat;
  verdict: Verdict;
  probability: number | null;
}

/** How the verdict fares within the circle that a pin may be off by. */
export interface LocationReport {
  radiusM: number;
  /** Number of points by verdict. */
  verdicts: Partial<Record<Verdict, number>>;
  agrees: boolean;
  /** The point where the answer is best; the pin itself where none is better. */
  best: { at: [number, number]; verdict: Verdict; probability: number | null };
}

const AROUND = 8;

/** The pin, then eight points on the circle around it, clockwise from north; the pin alone where the radius is 0. */
export function listLocationPoints(at: LonLat, radiusM: number): LonLat[] {
  if (radiusM === 0) return [at];
  const around = Array.from({ length: AROUND }, (_, index) => findGeodesicPoint(at, (360 / AROUND) * index, radiusM));
  return [at, ...around];
}

/**
 * The answer at a pin, with the verdict that its whole circle allows: where the verdicts of its points differ, a survey.
 * @param answers at the points of locationPoints, in their order.
 */
export function answerAtLocation(answers: readonly Answer[], points: readonly LonLat[], radiusM: number) {
  const locationAccuracy = judgeLocationAccuracy(
    answers.map((answer, index) => ({ ...answer, at: points[index] })),
    radiusM,
  );
  const [atLocationAccuracy] = answers;
  return {
    answer: locationAccuracy.agrees ? atLocationAccuracy : { ...atLocationAccuracy, verdict: "survey-first" as const },
    locationAccuracy,
  };
}

/** What a differing pin puts before the reason of the answer at its point; nothing where all agree. */
export function writeLocationClause({ agrees, radiusM, best }: LocationReport): string {
  if (agrees) return "";
  const where = best.at.map((degrees) => degrees.toFixed(5)).join(", ");
  return `the house lies somewhere within ${radiusM} m, where verdicts differ, best (${best.verdict}) at ${where}; at the point itself `;
}

const FROM_BEST: readonly Verdict[] = [
  "serviceable",
  "serviceable-at-height",
  "survey-first",
  "not-serviceable",
  "not-known",
];

/** @param points the pin first, 1 or more. */
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
