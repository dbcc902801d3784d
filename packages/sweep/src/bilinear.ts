/**
 * Height between four cell centres, m; column and row are counted from the first cell's centre and must lie inside
 * the raster. NaN where a corner is NaN.
 */
export function sampleBilinear(heights: Float32Array, width: number, column: number, row: number): number {
  const left = column | 0;
  const above = row | 0;
  const u = column - left;
  const at = above * width + left;
  const north = heights[at] * (1 - u) + heights[at + 1] * u;
  const south = heights[at + width] * (1 - u) + heights[at + width + 1] * u;
  return north + (south - north) * (row - above);
}
