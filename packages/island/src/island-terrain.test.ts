import { createHash } from "node:crypto";
import { describe, expect, test } from "vitest";
import { findHamletPlaces, findMastPlaces } from "./island-places.ts";
import { createIsland, EAST_M, type Island, NORTH_M } from "./island-terrain.ts";

const island = createIsland();

/** Slopes of the land in degrees, rising; 3 x 3 differences after B. K. P. Horn, "Hill shading", Proc. IEEE 69, 1981. */
function landSlopesDeg({ width, height, heightsM: h }: Island): number[] {
  const slopes: number[] = [];
  for (let at = width + 1; at < width * (height - 1) - 1; at++) {
    if (h[at] <= 0) continue;
    const [up, down] = [at - width, at + width];
    const east = (h[up + 1] + 2 * h[at + 1] + h[down + 1] - h[up - 1] - 2 * h[at - 1] - h[down - 1]) / (8 * EAST_M);
    const north = (h[up - 1] + 2 * h[up] + h[up + 1] - h[down - 1] - 2 * h[down] - h[down + 1]) / (8 * NORTH_M);
    slopes.push((Math.atan(Math.hypot(east, north)) * 180) / Math.PI);
  }
  return slopes.sort((a, b) => a - b);
}

function digest({ heightsM }: Island): string {
  return createHash("sha256").update(new Uint8Array(heightsM.buffer)).digest("hex");
}

describe("the island", () => {
  test("is the same on every machine, and another for another seed", () => {
    expect(digest(island)).toBe("56f580090a16f8d81895e906353758a35f67281e0c9b5116cae37961ffd39bc7");
    expect(digest(createIsland(2))).not.toBe(digest(island));
  });

  test("has the slopes of real hills: median 8 to 15 degrees, cliffs under 60", () => {
    const slopes = landSlopesDeg(island);
    const quantile = (share: number) => slopes[Math.floor(share * (slopes.length - 1))];
    expect(quantile(0.5)).toBeGreaterThan(8);
    expect(quantile(0.5)).toBeLessThan(15);
    expect(quantile(1)).toBeGreaterThan(45);
    expect(quantile(1)).toBeLessThan(60);
  });

  test("rises from the sea to about 700 m and covers about 300 square kilometres", () => {
    const land = island.heightsM.filter((heightM) => heightM > 0);
    expect(island.heightsM.every((heightM) => heightM >= 0)).toBe(true);
    expect(land.reduce((highest, heightM) => Math.max(highest, heightM), 0)).toBeGreaterThan(650);
    expect((land.length * EAST_M * NORTH_M) / 1e6).toBeGreaterThan(250);
  });

  test("has sea all round", () => {
    const { width, height, heightsM } = island;
    for (let column = 0; column < width; column++) {
      expect(heightsM[column] + heightsM[(height - 1) * width + column]).toBe(0);
    }
    for (let row = 0; row < height; row++) {
      expect(heightsM[row * width] + heightsM[row * width + width - 1]).toBe(0);
    }
  });
});

describe("places on the island", () => {
  test("masts stand on high ground, on land and apart", () => {
    const { west, east } = findMastPlaces(island);
    expect(Math.min(west.heightM, east.heightM)).toBeGreaterThan(200);
    expect(east.lon - west.lon).toBeGreaterThan(0.07);
  });

  test("hamlets lie low and on land", () => {
    const hamlets = findHamletPlaces(island);
    expect(hamlets.length).toBeGreaterThan(20);
    for (const { heightM } of hamlets) expect(heightM).toBeGreaterThan(0);
    for (const { heightM } of hamlets) expect(heightM).toBeLessThan(150);
  });
});
