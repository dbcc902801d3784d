import { DEG_PER_RAD, RAD_PER_DEG } from "@fellmark/units";

/** Returns the angle between a direction and boresight, 0 to 180 degrees. */
export function computeOffBoresightDeg(azimuthDeg: number, elevationDeg: number): number {
  const [azimuth, elevation] = [azimuthDeg * RAD_PER_DEG, elevationDeg * RAD_PER_DEG];
  const ahead = Math.cos(elevation) * Math.cos(azimuth);
  const aside = Math.hypot(Math.cos(elevation) * Math.sin(azimuth), Math.sin(elevation));
  return Math.atan2(aside, ahead) * DEG_PER_RAD;
}
