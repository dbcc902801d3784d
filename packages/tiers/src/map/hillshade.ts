import { RAD_PER_DEG } from "@fellmark/units";

/** Light from the north-west, as maps have it: from elsewhere valleys look like ridges. */
const LIGHT_AZIMUTH_DEG = 315;
const LIGHT_ELEVATION_DEG = 45;

/** Heights are drawn steeper than they are, so that gentle country shows. */
const EXAGGERATION = 2;

/**
 * Light on each cell, 0 (dark) to 1, row-major; flat ground has sin 45 = 0.707. A cell beside an unknown height takes
 * its own height there; an unknown cell is NaN.
 * Slopes by Horn's weights. Source: B. K. P. Horn, Hill shading and the reflectance map, Proc. IEEE 69 (1), 1981.
 */
export function computeHillshade(heightsM: Float32Array, width: number, cellM: (row: number) => number): Float32Array {
  const height = heightsM.length / width;
  const shade = new Float32Array(heightsM.length);
  const [lightEast, lightNorth, lightUp] = computeLightVector();
  for (let row = 0; row < height; row++) {
    const north = Math.max(0, row - 1) * width;
    const here = row * width;
    const south = Math.min(height - 1, row + 1) * width;
    const perM = EXAGGERATION / (8 * cellM(row));
    for (let column = 0; column < width; column++) {
      const own = heightsM[here + column];
      if (Number.isNaN(own)) {
        shade[here + column] = Number.NaN;
        continue;
      }
      const west = Math.max(0, column - 1);
      const east = Math.min(width - 1, column + 1);
      const nw = replaceUnknown(heightsM[north + west], own);
      const ne = replaceUnknown(heightsM[north + east], own);
      const sw = replaceUnknown(heightsM[south + west], own);
      const se = replaceUnknown(heightsM[south + east], own);
      const n = replaceUnknown(heightsM[north + column], own);
      const s = replaceUnknown(heightsM[south + column], own);
      const w = replaceUnknown(heightsM[here + west], own);
      const e = replaceUnknown(heightsM[here + east], own);
      const riseEast = (ne + 2 * e + se - nw - 2 * w - sw) * perM;
      const riseNorth = (nw + 2 * n + ne - sw - 2 * s - se) * perM;
      const towardLight = lightUp - riseEast * lightEast - riseNorth * lightNorth;
      shade[here + column] = Math.max(0, towardLight / Math.sqrt(1 + riseEast * riseEast + riseNorth * riseNorth));
    }
  }
  return shade;
}

function replaceUnknown(heightM: number, otherwiseM: number): number {
  return Number.isNaN(heightM) ? otherwiseM : heightM;
}

function computeLightVector(): [number, number, number] {
  const flat = Math.cos(LIGHT_ELEVATION_DEG * RAD_PER_DEG);
  const azimuthRad = LIGHT_AZIMUTH_DEG * RAD_PER_DEG;
  return [flat * Math.sin(azimuthRad), flat * Math.cos(azimuthRad), Math.sin(LIGHT_ELEVATION_DEG * RAD_PER_DEG)];
}
