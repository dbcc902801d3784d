/** Writes the complex far field toward an azimuth of a row: co-polar re, im, cross-polar re, im; any scale. */
export type RowField = (sineAzimuth: number, cosineAzimuth: number, out: Float64Array) => void;

/** A complex far field sampled over the sphere, with a margin around it for cubic interpolation. */
export interface FieldGrid {
  /** Steps over the whole turn of azimuth. */
  columns: number;
  /** Steps of elevation from -90 to 90. */
  rows: number;
  /**
   * Re and im interleaved, row by row from one step below -90; a row begins one step before azimuth -180. Rows beyond
   * the poles continue over them; each row has `columns` + 4 nodes.
   */
  co: Float32Array;
  cross: Float32Array;
}

/** Nodes that a cubic reads before the first and after the last interval. */
const BEFORE = 1;
const AFTER = 2;

/** Samples the sphere. `meanPower` is the mean of both polarisations over it, in the scale of the field. */
export function sampleSphere(
  rowOf: (elevationRad: number) => RowField,
  { columns, rows }: Pick<FieldGrid, "columns" | "rows">,
): { grid: FieldGrid; meanPower: number } {
  const across = columns + 1 + BEFORE + AFTER;
  const nodes = across * (rows + 1 + BEFORE + AFTER);
  const grid = { columns, rows, co: new Float32Array(2 * nodes), cross: new Float32Array(2 * nodes) };
  const azimuths = Float64Array.from({ length: across }, (_, i) => 2 * Math.PI * ((i - BEFORE) / columns - 0.5));
  const sines = azimuths.map(Math.sin);
  const cosines = azimuths.map(Math.cos);
  const out = new Float64Array(4);
  let meanPower = 0;
  let node = 0;
  for (let row = -BEFORE; row <= rows + AFTER; row++) {
    const elevationRad = Math.PI * (row / rows - 0.5);
    const fieldAt = rowOf(elevationRad);
    let power = 0;
    for (let i = 0; i < across; i++, node++) {
      fieldAt(sines[i], cosines[i], out);
      grid.co[2 * node] = out[0];
      grid.co[2 * node + 1] = out[1];
      grid.cross[2 * node] = out[2];
      grid.cross[2 * node + 1] = out[3];
      const once = i >= BEFORE && i < BEFORE + columns;
      if (once) power += out[0] * out[0] + out[1] * out[1] + out[2] * out[2] + out[3] * out[3];
    }
    // A field without fine structure below the step makes the plain sum over a great circle exact.
    if (row >= 0 && row <= rows) meanPower += (power / columns) * Math.cos(elevationRad) * (Math.PI / rows / 2);
  }
  return { grid, meanPower };
}

/**
 * Returns the power toward a direction, in the scale of the grid: cubic interpolation of the complex field in azimuth
 * and elevation. Any azimuth; elevation from -90 to 90.
 */
export function interpolatePower(
  grid: FieldGrid,
  polarisation: "co" | "cross",
  azimuthDeg: number,
  elevationDeg: number,
): number {
  const { columns, rows } = grid;
  const field = grid[polarisation];
  const turn = azimuthDeg / 360 + 0.5;
  const x = (turn - Math.floor(turn)) * columns;
  const y = ((elevationDeg + 90) / 180) * rows;
  const column = Math.floor(x);
  const row = Math.min(Math.max(Math.floor(y), 0), rows);
  const [s, t] = [x - column, y - row];
  const [w0, w1, w2, w3] = [weighOuter(s), weighInner(s), weighInner(1 - s), weighOuter(1 - s)];
  const stride = 2 * (columns + 1 + BEFORE + AFTER);
  let re = 0;
  let im = 0;
  for (let step = 0; step < 4; step++) {
    const i = (row + step) * stride + 2 * column;
    const weight =
      step === 0 ? weighOuter(t) : step === 1 ? weighInner(t) : step === 2 ? weighInner(1 - t) : weighOuter(1 - t);
    re += weight * (w0 * field[i] + w1 * field[i + 2] + w2 * field[i + 4] + w3 * field[i + 6]);
    im += weight * (w0 * field[i + 1] + w1 * field[i + 3] + w2 * field[i + 5] + w3 * field[i + 7]);
  }
  return re * re + im * im;
}

/** Returns the Lagrange weight of node 0, or mirrored of node 1, of the cubic through -1, 0, 1, 2, read from 0 to 1. */
function weighInner(t: number): number {
  return ((t + 1) * (t - 1) * (t - 2)) / 2;
}

/** Returns the Lagrange weight of node -1, or mirrored of node 2, of that cubic. */
function weighOuter(t: number): number {
  return (-t * (t - 1) * (t - 2)) / 6;
}

/** Returns the greatest co-polar power: the greatest node, refined around it. */
export function findGreatestPower(grid: FieldGrid): number {
  let [azimuthDeg, elevationDeg, greatest] = [0, 0, 0];
  const at = (azimuth: number, elevation: number): void => {
    if (Math.abs(azimuth) > 180 || Math.abs(elevation) > 90) return;
    const power = interpolatePower(grid, "co", azimuth, elevation);
    if (power > greatest) [azimuthDeg, elevationDeg, greatest] = [azimuth, elevation, power];
  };
  const steps = [360 / grid.columns, 180 / grid.rows];
  for (let row = 0; row <= grid.rows; row++) {
    for (let column = 0; column < grid.columns; column++) at(column * steps[0] - 180, row * steps[1] - 90);
  }
  for (let finer = 2; finer <= 64; finer *= 2) {
    const [azimuth, elevation] = [azimuthDeg, elevationDeg];
    for (let i = -1; i <= 1; i++) {
      for (let j = -1; j <= 1; j++) at(azimuth + (i * steps[0]) / finer, elevation + (j * steps[1]) / finer);
    }
  }
  return greatest;
}
