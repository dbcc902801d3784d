import { RAD_PER_DEG, toRatio } from "@fellmark/units";
import type { AntennaPattern, Port } from "./pattern.ts";

/**
 * Returns the mean of the gain over the sphere, linear, of both polarisations where the cross-polar gain is known; 1 for
 * a lossless antenna.
 * Sums cells of `stepDeg` in azimuth and elevation, each weighted with its exact solid angle.
 * Source: definition of directivity, IEEE Std 145. Valid for: `stepDeg` dividing 180, well under the beamwidth.
 * Example: the TR 38.901 element gives 0.656798.
 */
export function computeSphereMean(pattern: AntennaPattern, port: Port = 0, stepDeg = 1): number {
  const rows = Math.round(180 / stepDeg);
  const columns = 2 * rows;
  let mean = 0;
  for (let row = 0; row < rows; row++) {
    const southDeg = -90 + row * stepDeg;
    const bandSines = Math.sin((southDeg + stepDeg) * RAD_PER_DEG) - Math.sin(southDeg * RAD_PER_DEG);
    let sum = 0;
    for (let column = 0; column < columns; column++) {
      const [azimuthDeg, elevationDeg] = [-180 + (column + 0.5) * stepDeg, southDeg + stepDeg / 2];
      sum += toRatio(pattern.gainDbi(azimuthDeg, elevationDeg, port));
      if (pattern.crossGainDbi) sum += toRatio(pattern.crossGainDbi(azimuthDeg, elevationDeg, port));
    }
    mean += (sum / columns) * (bandSines / 2);
  }
  return mean;
}
