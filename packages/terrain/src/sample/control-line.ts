import type { Crs, GeodesicLine } from "@fellmark/geodesy";
import type { GridGroup } from "./grid-group.ts";

/** Positions of the nodes of a line in a group's grid; NaN outside the area of the reference system. */
export interface ControlLine {
  col: Float64Array;
  row: Float64Array;
}

/** @param turnDeg whole turns by which the line is moved east. */
export function projectLine(
  { x0, y0, stepX, stepY }: GridGroup,
  crs: Crs,
  { nodeLon, nodeLat }: GeodesicLine,
  turnDeg: number,
): ControlLine {
  const col = new Float64Array(nodeLon.length);
  const row = new Float64Array(nodeLon.length);
  for (let node = 0; node < nodeLon.length; node++) {
    const [x, y] = crs.project((nodeLon[node] as number) + turnDeg, nodeLat[node] as number);
    col[node] = (x - x0) / stepX;
    row[node] = (y0 - y) / stepY;
  }
  return { col, row };
}

/**
 * Writes the positions of points at equal steps along the line, both ends included, on the parabola of each stretch,
 * into `cols` and `rows`; their length (2 or more) is the number of points.
 * Accuracy: within 0.01 cell of direct projection (a test).
 */
export function interpolateLine({ col, row }: ControlLine, cols: Float64Array, rows: Float64Array): void {
  const stretches = (col.length - 1) / 2;
  const perPoint = stretches / (cols.length - 1);
  let point = 0;
  for (let stretch = 0; stretch < stretches; stretch++) {
    const last = stretch === stretches - 1;
    const end = last ? cols.length : Math.ceil((stretch + 1) / perPoint);
    const [c0, c1, c2] = fitParabola(col, 2 * stretch);
    const [r0, r1, r2] = fitParabola(row, 2 * stretch);
    for (; point < end; point++) {
      const t = point * perPoint - stretch;
      cols[point] = c0 + t * (c1 + t * c2);
      rows[point] = r0 + t * (r1 + t * r2);
    }
  }
}

/** Coefficients of the parabola through three nodes from one on, for 0 at the first to 1 at the third. */
function fitParabola(nodes: Float64Array, first: number): [number, number, number] {
  const start = nodes[first] as number;
  const middle = nodes[first + 1] as number;
  const end = nodes[first + 2] as number;
  return [start, 4 * middle - 3 * start - end, 2 * (start + end) - 4 * middle];
}
