import { DEG_PER_RAD, RAD_PER_DEG } from "@fellmark/units";
import { type CutPoint, createCircleCut, createHalfCut } from "../level-cut.ts";

/**
 * Returns the cross-polar level over the sphere from two cuts, dB relative to the co-polar peak. Cross-polar levels have
 * a null ahead, so they do not add as co-polar ones do: on the cone at the angle t off boresight the level goes, in dB, from
 * the horizontal cut at +-t to the vertical one at +-t with sin^2 of the angle around boresight. Exact on both cuts.
 * Source: a stated construction, no standard.
 */
export function createCrossLevel(horizontal: readonly CutPoint[], vertical: readonly CutPoint[]) {
  const around = createCircleCut(horizontal, "/horizontal");
  const isCircle = vertical.some(([angleDeg]) => Math.abs(angleDeg) > 90);
  const above = (isCircle ? createCircleCut : createHalfCut)(vertical, "/vertical");
  return (azimuthDeg: number, elevationDeg: number): number => {
    const [azimuth, elevation] = [azimuthDeg * RAD_PER_DEG, elevationDeg * RAD_PER_DEG];
    const right = Math.cos(elevation) * Math.sin(azimuth);
    const up = Math.sin(elevation);
    const aside = Math.hypot(right, up);
    const offDeg = Math.atan2(aside, Math.cos(elevation) * Math.cos(azimuth)) * DEG_PER_RAD;
    const share = aside > 0 ? (up / aside) ** 2 : 0;
    return (1 - share) * around(right < 0 ? -offDeg : offDeg) + share * above(up < 0 ? -offDeg : offDeg);
  };
}
