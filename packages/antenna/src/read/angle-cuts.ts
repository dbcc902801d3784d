import { normaliseSignedDeg } from "@fellmark/units";
import { circleCut, halfCut, type LevelCut } from "../level-cut.ts";
import { cutPoints, type ReadCut } from "./read-cut.ts";

/** Level over the sphere, dB relative to the peak of the antenna. */
export type SphereLevel = (azimuthDeg: number, elevationDeg: number) => number;

/** A sphere, and as what its cuts were understood; or why they leave it open. */
export type AngleSphere = { level: SphereLevel; readAs: string } | { reason: string };

/** A cut that is named by its angle. */
export type AngleCut = ReadCut & { plane: number };

export function isAngleCut(cut: ReadCut): cut is AngleCut {
  return typeof cut.plane === "number";
}

/** Between neighbouring cuts; levels are read linearly from one to the next. */
const WIDEST_STEP_DEG = 15;
/** Levels of one direction, measured in several cuts, differ by less than this. */
const SAME_DIRECTION_DB = 3;
/** The same at the peak, where measurements are good. */
const SAME_PEAK_DB = 0.5;

/** Curves side by side over the sphere, each at its angle; angles rise. */
interface Fan {
  angles: Float64Array;
  levels: LevelCut[];
}

/**
 * The sphere from cuts by angle, each either the elevation cut at that azimuth or the azimuth cut at that elevation, read
 * linearly in dB between neighbours. What the cuts have in common tells which they are: elevation cuts meet straight up
 * and straight down; azimuth cuts lie within 90 degrees, and one at 90 is a single direction.
 * Source: the angle of PATCUT in NSMA WG16.99.050 / TIA-804-B is that of a spherical cut; which axis it turns about is
 * free text in the file, so it is told from the levels, or not at all.
 * @returns the reason where the cuts do not determine the sphere, or fit both ways.
 */
export function sphereOfAngleCuts(cuts: readonly AngleCut[]): AngleSphere {
  const sorted = [...cuts].sort((a, b) => a.plane - b.plane);
  const meridians = meridiansOf(sorted);
  const parallels = parallelsOf(sorted);
  if ("angles" in meridians && "angles" in parallels) {
    return undetermined("they fit as elevation cuts at azimuths and as azimuth cuts at elevations alike");
  }
  if ("angles" in meridians) return { level: betweenMeridians(meridians), readAs: "elevation cuts at azimuths" };
  if ("angles" in parallels) return { level: betweenParallels(parallels), readAs: "azimuth cuts at elevations" };
  return undetermined(`as elevation cuts ${meridians.reason}; as azimuth cuts ${parallels.reason}`);
}

function undetermined(why: string): { reason: string } {
  return { reason: `the cuts by angle do not determine the sphere: ${why}` };
}

/** Half circles from straight down to straight up: a cut of a whole circle is two of them. */
function meridiansOf(cuts: readonly AngleCut[]): Fan | { reason: string } {
  if (turnsAboutTheBeam(cuts)) return { reason: "all meet ahead, and nothing says which of them is upright" };
  const halves = cuts.flatMap((cut): { angleDeg: number; level: LevelCut }[] => {
    const angleDeg = normaliseSignedDeg(cut.plane);
    if (!isCircle(cut)) return [{ angleDeg, level: halfCut(cutPoints(cut), "") }];
    const circle = circleCut(cutPoints(cut), "");
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
  const gap = stepFault([...fan.angles, first + 360]);
  if (gap) return { reason: gap };
  const pole = [90, -90].find((elevationDeg) => spreadDb(fan.levels, elevationDeg) > SAME_DIRECTION_DB);
  if (pole === undefined) return fan;
  return { reason: `they differ by ${spreadDb(fan.levels, pole).toFixed(1)} dB at ${pole}, where all meet` };
}

/** Whole circles around, from the lowest elevation to the highest. */
function parallelsOf(cuts: readonly AngleCut[]): Fan | { reason: string } {
  const outside = cuts.find(({ plane }) => Math.abs(plane) > 90);
  if (outside) return { reason: `one lies at ${outside.plane} degrees` };
  const half = cuts.find((cut) => !isCircle(cut));
  if (half) return { reason: `that at ${half.plane} goes round only half way` };
  const fan = {
    angles: Float64Array.from(cuts, ({ plane }) => plane),
    levels: cuts.map((cut) => circleCut(cutPoints(cut), "")),
  };
  const gap = stepFault([-90, ...[...fan.angles].filter((angle) => Math.abs(angle) < 90), 90]);
  if (gap) return { reason: gap };
  const uneven = cuts.find(
    (cut) => Math.abs(cut.plane) === 90 && rangeDb(cut.points.map(({ levelDb }) => levelDb)) > SAME_DIRECTION_DB,
  );
  return uneven ? { reason: `that at ${uneven.plane} is one direction with several levels` } : fan;
}

/** Whether the cuts are circles through one peak ahead, as of a dish that is turned about its axis. */
function turnsAboutTheBeam(cuts: readonly AngleCut[]): boolean {
  if (!cuts.every(isCircle)) return false;
  const circles = cuts.map((cut) => circleCut(cutPoints(cut), ""));
  const isPeak = spreadDb(circles, 0) < SAME_PEAK_DB && circles[0](0) > -SAME_DIRECTION_DB;
  return isPeak && circles[0](0) - circles[0](180) > SAME_DIRECTION_DB;
}

function isCircle({ points }: ReadCut): boolean {
  return points.some(({ angleDeg }) => Math.abs(angleDeg) > 90);
}

/** What is wrong with the steps between angles that rise. */
function stepFault(angles: readonly number[]): string | null {
  for (let i = 1; i < angles.length; i++) {
    const step = angles[i] - angles[i - 1];
    if (step < 1e-6) return `${angles[i]} stands twice`;
    if (step > WIDEST_STEP_DEG) {
      return `${step} degrees lie between ${angles[i - 1]} and ${angles[i]}, at most ${WIDEST_STEP_DEG}`;
    }
  }
  return null;
}

function spreadDb(levels: readonly LevelCut[], angleDeg: number): number {
  return rangeDb(levels.map((level) => level(angleDeg)));
}

function rangeDb(levelsDb: readonly number[]): number {
  return levelsDb.reduce((a, b) => Math.max(a, b)) - levelsDb.reduce((a, b) => Math.min(a, b));
}

function betweenMeridians({ angles, levels }: Fan): SphereLevel {
  const last = angles.length - 1;
  return (azimuthDeg, elevationDeg) => {
    const turned = azimuthDeg < angles[0] ? azimuthDeg + 360 : azimuthDeg;
    const from = lastAtOrBelow(angles, turned);
    const to = from < last ? from + 1 : 0;
    const step = from < last ? angles[to] - angles[from] : angles[0] + 360 - angles[last];
    const share = (turned - angles[from]) / step;
    return (1 - share) * levels[from](elevationDeg) + share * levels[to](elevationDeg);
  };
}

/** Beyond the lowest and the highest cut their levels hold. */
function betweenParallels({ angles, levels }: Fan): SphereLevel {
  const last = angles.length - 1;
  return (azimuthDeg, elevationDeg) => {
    if (elevationDeg <= angles[0]) return levels[0](azimuthDeg);
    if (elevationDeg >= angles[last]) return levels[last](azimuthDeg);
    const from = lastAtOrBelow(angles, elevationDeg);
    const share = (elevationDeg - angles[from]) / (angles[from + 1] - angles[from]);
    return (1 - share) * levels[from](azimuthDeg) + share * levels[from + 1](azimuthDeg);
  };
}

/** Index of the last angle that is not above; the first is not. */
function lastAtOrBelow(angles: Float64Array, angleDeg: number): number {
  let low = 0;
  let high = angles.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (angles[middle] <= angleDeg) low = middle;
    else high = middle;
  }
  return low;
}
