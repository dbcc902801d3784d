import type { TerrainMosaic } from "@fellmark/terrain";
import { describe, expect, it } from "vitest";
import { createLowGround, METRES_PER_DEG, sampleLowGround } from "./low-ground.ts";

/** Blocks of 8 steps of 100 m: 0.00724 degrees. */
const BLOCK_DEG = 800 / METRES_PER_DEG;

/** Two blocks a side, south-west corner at 10 E on the equator, a little short so that two are enough. */
function createWorld(heightAt: (acrossBlocks: number, upBlocks: number) => number) {
  const bbox = [10, 0, 10 + 1.99 * BLOCK_DEG, 1.99 * BLOCK_DEG];
  const findHeightAmslM = (lon: number, lat: number) => heightAt((lon - 10) / BLOCK_DEG, lat / BLOCK_DEG);
  return createLowGround({ bbox, stepM: 100, findHeightAmslM } as unknown as TerrainMosaic);
}

const isAt = (a: number, b: number) => Math.abs(a - b) < 0.01;

describe("the lowest ground of blocks", () => {
  it("is the least of each block, row by row from the south", () => {
    // South-west 50, south-east 60, north-west 70, north-east 80; a pit of 5 m inside the north-east block.
    const low = createWorld((x, y) => {
      if (isAt(x, 1.5) && isAt(y, 1.25)) return 5;
      return 50 + (x > 1.01 ? 10 : 0) + (y > 1.01 ? 20 : 0);
    });
    expect([low.width, low.height, low.west, low.south]).toEqual([2, 2, 10, 0]);
    // Samples on an edge belong to both blocks: the eastern and northern ones take the lower edge of their neighbours.
    expect([...low.lowestAmslM]).toEqual([50, 50, 50, 5]);
  });

  it("takes a pit on an edge into both blocks beside it, on the corner into all four", () => {
    const edge = createWorld((x, y) => (isAt(x, 1) && isAt(y, 0.5) ? 3 : 90));
    expect([...edge.lowestAmslM]).toEqual([3, 3, 90, 90]);
    const corner = createWorld((x, y) => (isAt(x, 1) && isAt(y, 1) ? 3 : 90));
    expect([...corner.lowestAmslM]).toEqual([3, 3, 3, 3]);
    const outerCorners = createWorld((x, y) => ((isAt(x, 0) && isAt(y, 0)) || (isAt(x, 2) && isAt(y, 2)) ? 3 : 90));
    expect([...outerCorners.lowestAmslM]).toEqual([3, 90, 90, 3]);
  });

  it("is far below any ground where some of a block is not known", () => {
    const low = createWorld((x, y) => (isAt(x, 0.5) && isAt(y, 0.5) ? Number.NaN : 90));
    expect([...low.lowestAmslM]).toEqual([-1e4, 90, 90, 90]);
  });
});

describe("low ground along a line", () => {
  const low = {
    ...{ west: 179, south: -1, acrossDeg: 1, upDeg: 1, width: 2, height: 2 },
    lowestAmslM: Float32Array.of(1, 2, 3, 4),
  };
  const sample = (nodeLon: number[], nodeLat: number[], points = 5) => {
    const out = new Float64Array(points);
    const line = { nodeLon: Float64Array.from(nodeLon), nodeLat: Float64Array.from(nodeLat) };
    sampleLowGround(low, line as Parameters<typeof sampleLowGround>[1], { fromAmslM: 100, toAmslM: 200 }, out);
    return [...out];
  };

  it("is that of the blocks under equal steps between the ends' own ground", () => {
    // From 179.1 to 180.9 E along 0.5 S: at 179.55, 180 and 180.45.
    expect(sample([179.1, 180, 180.9], [-0.5, -0.5, -0.5])).toEqual([100, 1, 2, 2, 200]);
    // Up along 179.5 E from 0.9 S to 0.9 N.
    expect(sample([179.5, 179.5, 179.5], [-0.9, 0, 0.9])).toEqual([100, 1, 3, 3, 200]);
  });

  it("is the same on another turn of longitude", () => {
    expect(sample([-180.9, -180, -179.1], [-0.5, -0.5, -0.5])).toEqual([100, 1, 2, 2, 200]);
  });

  it("follows the bend of a line by its middle node", () => {
    // Latitude 0.4 (1 - x^2) - 0.2: -0.2 at the ends, 0.1 at a quarter, 0.2 in the middle.
    expect(sample([179.1, 180, 180.9], [-0.2, 0.2, -0.2])).toEqual([100, 3, 4, 4, 200]);
  });

  it("is open off the blocks", () => {
    expect(sample([179.5, 179.5, 179.5], [-3, 0, 3])).toEqual([100, -1e4, 3, -1e4, 200]);
    expect(sample([176, 179.5, 183], [0.5, 0.5, 0.5])).toEqual([100, -1e4, 3, -1e4, 200]);
  });
});
