import { RAD_PER_DEG } from "@fellmark/units";
import { type CutPoint, createCircleCut, createHalfCut, type LevelCut } from "./level-cut.ts";
import type { AntennaPattern } from "./pattern.ts";

export interface Cuts {
  /** Gain at the peak, dBi. */
  gainDbi: number;
  /** Cut around the horizon: angle clockwise from boresight, -180 to 360, rising, less than one turn. */
  horizontal: readonly CutPoint[];
  /**
   * Cut through boresight, positive up. Angles within -90 to 90 are the front half; with any angle beyond, the cut is
   * the full circle, in which 180 is behind.
   */
  vertical: readonly CutPoint[];
}

/**
 * Returns a full sphere built from two cuts, both ports alike. With h the horizontal level less its value ahead, v the vertical
 * level ahead and b the one behind, at azimuth a and elevation e, all in dB:
 *   level = F v(e) + (1 - F) b(e) + (h(a) - (1 - F) h(180)) cos^2 e,    F = 1 to 90 degrees aside, sin^2 a beyond.
 * The levels of the cuts add in the front half, as they do for a planar array; toward the back the rear of the
 * vertical cut replaces the sum; straight up and down every azimuth has one level. The result is exact on the vertical
 * cut, and on the horizontal one where the two agree at their crossings. Without a rear half, b runs from the horizontal
 * level behind to the vertical levels straight up and down with sin^2 e. As in TR 38.901 no level falls below the lowest
 * of the two cuts or rises above the peak.
 * Source: a stated construction, no standard: two cuts do not determine the sphere.
 * @param pointer JSON pointer of the cuts, for errors.
 * Throws InputError that names the row of a cut whose angles do not rise.
 */
export function createCutsPattern(cuts: Cuts, pointer = ""): AntennaPattern {
  const horizontal = createCircleCut(cuts.horizontal, `${pointer}/horizontal`);
  const ahead = horizontal(0);
  const rearStep = horizontal(180) - ahead;
  const isCircle = cuts.vertical.some(([angleDeg]) => Math.abs(angleDeg) > 90);
  const vertical = (isCircle ? createCircleCut : createHalfCut)(cuts.vertical, `${pointer}/vertical`);
  const behind: LevelCut = isCircle ? (e) => vertical(180 - e) : createOpenRear(vertical, rearStep);
  const lowest = Math.min(...[...cuts.horizontal, ...cuts.vertical].map(([, levelDb]) => levelDb));
  return {
    peakGainDbi: cuts.gainDbi,
    levels: "actual",
    gainDbi(azimuthDeg, elevationDeg) {
      const front = computeFrontShare(azimuthDeg);
      const aside = horizontal(azimuthDeg) - ahead - (1 - front) * rearStep;
      let level = front * vertical(elevationDeg) + aside * Math.cos(elevationDeg * RAD_PER_DEG) ** 2;
      if (front < 1) level += (1 - front) * behind(elevationDeg);
      return cuts.gainDbi + Math.min(Math.max(level, lowest), 0);
    },
  };
}

function computeFrontShare(azimuthDeg: number): number {
  return Math.abs(azimuthDeg) <= 90 ? 1 : Math.sin(azimuthDeg * RAD_PER_DEG) ** 2;
}

function createOpenRear(vertical: LevelCut, rearStep: number): LevelCut {
  const rear = vertical(0) + rearStep;
  const [up, down] = [vertical(90), vertical(-90)];
  return (elevationDeg) => {
    const pole = elevationDeg > 0 ? up : down;
    return rear + (pole - rear) * Math.sin(elevationDeg * RAD_PER_DEG) ** 2;
  };
}
