/** A square-celled grid whose middle cell is the origin; row-major, north row first. */
export interface Grid {
  width: number;
  height: number;
  cellM: number;
  values: Float64Array;
}

/** Returns a grid of zeros with these half widths around its middle, and two cells more. */
export function createGrid(halfWidthM: number, halfHeightM: number, cellM: number): Grid {
  const width = 2 * Math.ceil(halfWidthM / cellM) + 5;
  const height = 2 * Math.ceil(halfHeightM / cellM) + 5;
  return { width, height, cellM, values: new Float64Array(width * height) };
}

/** Returns the value of the cell that contains a place. */
export function readNearest({ width, height, cellM, values }: Grid, eastM: number, northM: number): number {
  const column = Math.round(eastM / cellM + (width - 1) / 2);
  const row = Math.round((height - 1) / 2 - northM / cellM);
  return values[row * width + column];
}

/** Interpolates by Catmull-Rom; within two cells of the border the nearest inner value is used. */
export function interpolateBicubic({ width, height, cellM, values }: Grid, eastM: number, northM: number): number {
  const x = Math.min(width - 3, Math.max(1, eastM / cellM + (width - 1) / 2));
  const y = Math.min(height - 3, Math.max(1, (height - 1) / 2 - northM / cellM));
  const column = Math.floor(x);
  const row = Math.floor(y);
  const t = x - column;
  const at = row * width + column;
  return interpolateCubic(
    readCubic(values, at - width, t),
    readCubic(values, at, t),
    readCubic(values, at + width, t),
    readCubic(values, at + 2 * width, t),
    y - row,
  );
}

function readCubic(values: Float64Array, at: number, t: number): number {
  return interpolateCubic(values[at - 1], values[at], values[at + 1], values[at + 2], t);
}

function interpolateCubic(a: number, b: number, c: number, d: number, t: number): number {
  return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
}
