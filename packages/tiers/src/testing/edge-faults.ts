/** A closed ring by its corners, in whole steps; the first corner is repeated at the end. */
export interface RingEdges {
  name: string;
  x: Float64Array;
  y: Float64Array;
}

interface Edge {
  ring: RingEdges;
  ax: number;
  ay: number;
  bx: number;
  by: number;
}

/**
 * Pairs of edges that meet in more than a common end: crossings, an end within the other edge, edges that lie on one
 * another. Two edges with the same ends are the two sides of one border if they run in opposite directions.
 */
export function findEdgeFaults(rings: readonly RingEdges[]): string[] {
  const edges = rings.flatMap(listEdges);
  const faults = new Set<string>();
  for (const bin of binEdges(edges)) {
    for (let one = 1; one < bin.length; one++) {
      for (let other = 0; other < one; other++) {
        if (meetBadly(bin[one], bin[other])) faults.add(`${bin[one].ring.name} meets ${bin[other].ring.name}`);
      }
    }
  }
  return [...faults];
}

function listEdges(ring: RingEdges): Edge[] {
  const { x, y } = ring;
  return Array.from({ length: Math.max(0, x.length - 1) }, (_, at) => {
    return { ring, ax: x[at], ay: y[at], bx: x[at + 1], by: y[at + 1] };
  });
}

/** Edges in the squares of a grid that their boxes reach into; the squares are a few mean edges wide. */
function binEdges(edges: readonly Edge[]): Edge[][] {
  const lengths = edges.map((edge) => Math.abs(edge.bx - edge.ax) + Math.abs(edge.by - edge.ay));
  const size = Math.max(1, (2 * lengths.reduce((sum, length) => sum + length, 0)) / edges.length);
  const bins = new Map<string, Edge[]>();
  for (const edge of edges) {
    const east = Math.floor(Math.max(edge.ax, edge.bx) / size);
    const north = Math.floor(Math.max(edge.ay, edge.by) / size);
    for (let column = Math.floor(Math.min(edge.ax, edge.bx) / size); column <= east; column++) {
      for (let row = Math.floor(Math.min(edge.ay, edge.by) / size); row <= north; row++) {
        const key = `${column},${row}`;
        const bin = bins.get(key);
        if (bin) bin.push(edge);
        else bins.set(key, [edge]);
      }
    }
  }
  return [...bins.values()];
}

function meetBadly(p: Edge, q: Edge): boolean {
  const sideA = findSideOfEdge(p, q.ax, q.ay);
  const sideB = findSideOfEdge(p, q.bx, q.by);
  if (sideA === 0 && sideB === 0) return doOverlap(p, q) && !isOtherSide(p, q);
  if (sideA * sideB > 0 || findSideOfEdge(q, p.ax, p.ay) * findSideOfEdge(q, p.bx, p.by) > 0) return false;
  return !haveCommonEnd(p, q);
}

/** Returns the side of an edge on which a point lies: positive left. */
function findSideOfEdge(edge: Edge, x: number, y: number): number {
  return Math.sign((edge.bx - edge.ax) * (y - edge.ay) - (edge.by - edge.ay) * (x - edge.ax));
}

/** True where two edges on one line share more than a point. */
function doOverlap(p: Edge, q: Edge): boolean {
  const along = (edge: Edge, x: number, y: number) => (edge.bx - edge.ax) * x + (edge.by - edge.ay) * y;
  const [p0, p1] = [along(p, p.ax, p.ay), along(p, p.bx, p.by)];
  const [q0, q1] = [along(p, q.ax, q.ay), along(p, q.bx, q.by)];
  return Math.max(Math.min(p0, p1), Math.min(q0, q1)) < Math.min(Math.max(p0, p1), Math.max(q0, q1));
}

function isOtherSide(p: Edge, q: Edge): boolean {
  return p.ax === q.bx && p.ay === q.by && p.bx === q.ax && p.by === q.ay;
}

function haveCommonEnd(p: Edge, q: Edge): boolean {
  return (
    (p.ax === q.ax && p.ay === q.ay) ||
    (p.ax === q.bx && p.ay === q.by) ||
    (p.bx === q.ax && p.by === q.ay) ||
    (p.bx === q.bx && p.by === q.by)
  );
}
