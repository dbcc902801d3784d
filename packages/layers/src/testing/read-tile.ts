/** A feature of a tile as an independent reader sees it; rings of x, y. */
export interface ReadFeature {
  id: number | undefined;
  properties: Record<string, unknown>;
  rings: { x: number; y: number }[][];
}

/** One layer of a tile, as @mapbox/vector-tile presents it. */
interface TileLayer {
  version: number;
  extent: number;
  length: number;
  feature(index: number): Omit<ReadFeature, "rings"> & { loadGeometry(): ReadFeature["rings"] };
}

/** Features of a tile's layer with their rings. */
export function listFeatures(layer: TileLayer): ReadFeature[] {
  return Array.from({ length: layer.length }, (_, index) => {
    const feature = layer.feature(index);
    return { id: feature.id, properties: feature.properties, rings: feature.loadGeometry() };
  });
}

/** Twice the area of a closed ring: positive where it runs clockwise as seen, y to the south. */
export function computeTwiceArea(ring: ReadFeature["rings"][number]): number {
  return ring.slice(1).reduce((sum, point, at) => sum + ring[at].x * point.y - point.x * ring[at].y, 0);
}

/** Cells to look at: columns and rows from the north-west corner of the tile. */
export interface CellFrame {
  column0: number;
  row0: number;
  columns: number;
  rows: number;
}

const WHOLE_TILE: CellFrame = { column0: 0, row0: 0, columns: 256, rows: 256 };

/** The ids of features at the centres of cells of 16 steps, row by row; 255 where there is none, -1 where there are two. */
export function rasteriseFeatures(features: readonly ReadFeature[], frame: CellFrame = WHOLE_TILE): Int16Array {
  const values = new Int16Array(frame.columns * frame.rows).fill(255);
  for (const { id = -1, rings } of features) {
    const inside = new Uint8Array(values.length);
    for (const ring of rings) {
      for (let at = 1; at < ring.length; at++) toggleEast(inside, frame, ring[at - 1], ring[at]);
    }
    for (let cell = 0; cell < inside.length; cell++) {
      if (inside[cell] === 1) values[cell] = values[cell] === 255 ? id : -1;
    }
  }
  return values;
}

/** Turns over every cell east of an upright edge, so that what is enclosed ends at 1. */
function toggleEast(
  inside: Uint8Array,
  { column0, row0, columns, rows }: CellFrame,
  from: { x: number; y: number },
  to: { x: number; y: number },
): void {
  const [north, south] = [Math.min(from.y, to.y), Math.max(from.y, to.y)].map((y) => y / 16 - row0);
  const first = Math.max(0, from.x / 16 - column0);
  for (let row = Math.max(0, north); row < Math.min(rows, south); row++) {
    for (let column = first; column < columns; column++) inside[row * columns + column] ^= 1;
  }
}
