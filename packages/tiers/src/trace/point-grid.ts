/** Set of points of an integer grid 0 .. width, 0 .. height: one bit each. */
export class PointGrid {
  private readonly stride: number;
  private readonly bits: Uint32Array;

  constructor(width: number, height: number) {
    this.stride = width + 1;
    this.bits = new Uint32Array(Math.ceil((this.stride * (height + 1)) / 32));
  }

  add(x: number, y: number): void {
    const at = y * this.stride + x;
    this.bits[at >>> 5] |= 1 << (at & 31);
  }

  delete(x: number, y: number): void {
    const at = y * this.stride + x;
    this.bits[at >>> 5] &= ~(1 << (at & 31));
  }

  has(x: number, y: number): boolean {
    const at = y * this.stride + x;
    return (this.bits[at >>> 5] & (1 << (at & 31))) !== 0;
  }

  /** True where a point other than the corners is taken in the closed triangle a, b, c, which must not be flat. */
  hasInTriangle(ax: number, ay: number, bx: number, by: number, cx: number, cy: number): boolean {
    if (by < ay) return this.hasInTriangle(bx, by, ax, ay, cx, cy);
    if (cy < by) return this.hasInTriangle(ax, ay, cx, cy, bx, by);
    for (let y = ay; y <= cy; y++) {
      const onLongSide = ax + ((cx - ax) * (y - ay)) / (cy - ay);
      let onShortSides = bx;
      if (y < by) onShortSides = ax + ((bx - ax) * (y - ay)) / (by - ay);
      if (y > by) onShortSides = bx + ((cx - bx) * (y - by)) / (cy - by);
      const east = Math.floor(Math.max(onLongSide, onShortSides));
      for (let x = Math.ceil(Math.min(onLongSide, onShortSides)); x <= east; x++) {
        if (!this.has(x, y)) continue;
        const isCorner = (x === ax && y === ay) || (x === bx && y === by) || (x === cx && y === cy);
        if (!isCorner) return true;
      }
    }
    return false;
  }
}
