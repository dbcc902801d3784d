import { normaliseSignedDeg } from "@fellmark/units";
import { createCircleCut, createHalfCut, type LevelCut } from "../level-cut.ts";
import { type ReadCut, toCutPoints } from "./read-cut.ts";

/** Level over the sphere, dB relative to the peak of the antenna. */
export type SphereLevel = (azimuthDeg: number, elevationDeg: number) => number;

/** Full-sphere pattern and how its cuts were read, or why they are ambiguous. */
export type AngleSphere = { level: SphereLevel; readAs: string } | { reason: string };

/** A cut whose name is its angle. */
export type AngleCut = ReadCut & { plane: number };

export function isAngleCut(cut: ReadCut): cut is AngleCut {
  return typeof cut.plane === "number";
}

/** Largest step between neighbouring cuts; levels are linear from one to the next. */
const WIDEST_STEP_DEG = 15;
/** Levels of one direction in several cuts must agree within this. */
const SAME_DIRECTION_DB = 3;
/** The same limit at the peak, where measurements are accurate. */
const SAME_PEAK_DB = 0.5;

/** Curves over the sphere, each at its angle; angles rise. */
interface Fan {
  angles: Float64Array;
  levels: LevelCut[];
}

/**
 * Returns the sphere of cuts by angle, each either the elevation cut at that azimuth or the azimuth cut at that elevation,
 * linear in dB between neighbours. Their common points decide which they are: elevation cuts meet straight up and
 * straight down; azimuth cuts lie within 90 degrees, and one at 90 is a single direction.
 * Source: the angle of PATCUT in NSMA WG16.99.050 / TIA-804-B is that of a spherical cut; its axis is free text in the
 * file, so only the levels can tell it.
 * @returns the reason where the cuts do not determine the sphere, or fit both ways.
 */
export function buildSphere(cuts: readonly AngleCut[]): AngleSphere {
  const sorted = [...cuts].sort((a, b) => a.plane - b.plane);
  const meridians = buildMeridians(sorted);
  const parallels = buildParallels(sorted);
  if ("angles" in meridians && "angles" in parallels) {
    return refuseSphere("they fit as elevation cuts at azimuths and as azimuth cuts at elevations alike");
  }
  if ("angles" in meridians) return { level: interpolateMeridians(meridians), readAs: "elevation cuts at azimuths" };
  if ("angles" in parallels) return { level: interpolateParallels(parallels), readAs: "azimuth cuts at elevations" };
  return refuseSphere(`as elevation cuts ${meridians.reason}; as azimuth cuts ${parallels.reason}`);
}

function refuseSphere(why: string): { reason: string } {
  return { reason: `the cuts by angle do not determine the sphere: ${why}` };
}

/** Returns half circles from straight down to straight up: a cut of a whole circle is two of them. */
function buildMeridians(cuts: readonly AngleCut[]): Fan | { reason: string } {
  if (areTurnedAboutBeam(cuts)) return { reason: "all meet ahead, and nothing says which of them is upright" };
  const halves = cuts.flatMap((cut): { angleDeg: number; level: LevelCut }[] => {
    const angleDeg = normaliseSignedDeg(cut.plane);
    if (!isCircle(cut)) return [{ angleDeg, level: createHalfCut(toCutPoints(cut), "") }];
    const circle = createCircleCut(toCutPoints(cut), "");
    const behind = (elevationDeg: number) => circle(180 - elevationDeg);
    return [
      { angleDeg, level: circle },
      { angleDeg: normaliseSignedDeg(angleDeg + 180), level: behind },
    ];
  });
  halves.sort((a, b) => a.angleDeg - b.angleDeg);
  const fan = {
    angles: Float64Array.from(halves, ({ angleDeg }) => angleDeg),
    levels: halves.map(({ level }) => level),
  };
  const first = fan.angles[0];
  const gap = findStepFault([...fan.angles, first + 360]);
  if (gap) return { reason: gap };
  const pole = [90, -90].find((elevationDeg) => computeSpreadDb(fan.levels, elevationDeg) > SAME_DIRECTION_DB);
  if (pole === undefined) return fan;
  return { reason: `they differ by ${computeSpreadDb(fan.levels, pole).toFixed(1)} dB at ${pole}, where all meet` };
}

/** Returns whole circles around, from the lowest elevation to the highest. */
function buildParallels(cuts: readonly AngleCut[]): Fan | { reason: string } {
  const outside = cuts.find(({ plane }) => Math.abs(plane) > 90);
  if (outside) return { reason: `one lies at ${outside.plane} degrees` };
  const half = cuts.find((cut) => !isCircle(cut));
  if (half) return { reason: `the cut at ${half.plane} covers only half a circle` };
  const fan = {
    angles: Float64Array.from(cuts, ({ plane }) => plane),
    levels: cuts.map((cut) => createCircleCut(toCutPoints(cut), "")),
  };
  const gap = findStepFault([-90, ...[...fan.angles].filter((angle) => Math.abs(angle) < 90), 90]);
  if (gap) return { reason: gap };
  const uneven = cuts.find(
    (cut) => Math.abs(cut.plane) === 90 && computeRangeDb(cut.points.map(({ levelDb }) => levelDb)) > SAME_DIRECTION_DB,
  );
  return uneven ? { reason: `the cut at ${uneven.plane} is one direction with several levels` } : fan;
}

/** True where the cuts are circles through one peak ahead, as of a dish that is turned about its axis. */
function areTurnedAboutBeam(cuts: readonly AngleCut[]): boolean {
  if (!cuts.every(isCircle)) return false;
  const circles = cuts.map((cut) => createCircleCut(toCutPoints(cut), ""));
  const isPeak = computeSpreadDb(circles, 0) < SAME_PEAK_DB && circles[0](0) > -SAME_DIRECTION_DB;
  return isPeak && circles[0](0) - circles[0](180) > SAME_DIRECTION_DB;
}

function isCircle({ points }: ReadCut): boolean {
  return points.some(({ angleDeg }) => Math.abs(angleDeg) > 90);
}

/** Returns the fault in the steps between angles that rise; null: none. */
function findStepFault(angles: readonly number[]): string | null {
  for (let i = 1; i < angles.length; i++) {
    const step = angles[i] - angles[i - 1];
    if (step < 1e-6) return `${angles[i]} occurs twice`;
    if (step > WIDEST_STEP_DEG) {
      return `${step} degrees lie between ${angles[i - 1]} and ${angles[i]}, at most ${WIDEST_STEP_DEG}`;
    }
  }
  return null;
}

function computeSpreadDb(levels: readonly LevelCut[], angleDeg: number): number {
  return computeRangeDb(levels.map((level) => level(angleDeg)));
}

function computeRangeDb(levelsDb: readonly number[]): number {
  return levelsDb.reduce((a, b) => Math.max(a, b)) - levelsDb.reduce((a, b) => Math.min(a, b));
}

function interpolateMeridians({ angles, levels }: Fan): SphereLevel {
  const last = angles.length - 1;
  return (azimuthDeg, elevationDeg) => {
    const turned = azimuthDeg < angles[0] ? azimuthDeg + 360 : azimuthDeg;
    const from = findLastNotAbove(angles, turned);
    const to = from < last ? from + 1 : 0;
    const step = from < last ? angles[to] - angles[from] : angles[0] + 360 - angles[last];
    const share = (turned - angles[from]) / step;
    return (1 - share) * levels[from](elevationDeg) + share * levels[to](elevationDeg);
  };
}

/** Returns the level between parallels; constant beyond the lowest and the highest cut. */
function interpolateParallels({ angles, levels }: Fan): SphereLevel {
  const last = angles.length - 1;
  return (azimuthDeg, elevationDeg) => {
    if (elevationDeg <= angles[0]) return levels[0](azimuthDeg);
    if (elevationDeg >= angles[last]) return levels[last](azimuthDeg);
    const from = findLastNotAbove(angles, elevationDeg);
    const share = (elevationDeg - angles[from]) / (angles[from + 1] - angles[from]);
    return (1 - share) * levels[from](azimuthDeg) + share * levels[from + 1](azimuthDeg);
  };
}

/** Returns the index of the last angle that is not above `angleDeg`; the first angle must not be. */
function findLastNotAbove(angles: Float64Array, angleDeg: number): number {
  let low = 0;
  let high = angles.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (angles[middle] <= angleDeg) low = middle;
    else high = middle;
  }
  return low;
}
