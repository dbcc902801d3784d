export const RAD_PER_DEG = Math.PI / 180;
export const DEG_PER_RAD = 180 / Math.PI;

/** Returns an azimuth in 0 <= az < 360. */
function normaliseAzimuthDeg(azimuthDeg: number): number {
  const wrapped = azimuthDeg % 360;
  return wrapped < 0 ? wrapped + 360 : wrapped;
}

/** Returns a signed angle in -180 <= angle < 180. */
export function normaliseSignedDeg(angleDeg: number): number {
  return normaliseAzimuthDeg(angleDeg + 180) - 180;
}
