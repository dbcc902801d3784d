import { expect, test } from "vitest";
import { findHamletPlaces, findMastPlaces } from "./island-places.ts";
import { createIsland } from "./island-terrain.ts";
import { growWoods } from "./woods.ts";

const island = createIsland();
const treesM = growWoods(island);

test("a sixth to a quarter of the land is wood, of trees that stand between the fields and the tree line", () => {
  const land = island.heightsM.reduce((count, heightM) => count + Number(heightM > 0), 0);
  const wooded = [...treesM.keys()].filter((index) => treesM[index] > 0);
  expect(wooded.length / land).toBeGreaterThan(1 / 6);
  expect(wooded.length / land).toBeLessThan(1 / 4);
  for (const index of wooded) {
    if (treesM[index] < 7 || treesM[index] > 17) throw new Error(`trees of ${treesM[index]} m`);
    if (island.heightsM[index] <= 12 || island.heightsM[index] >= 420)
      throw new Error(`at ${island.heightsM[index]} m`);
  }
});

test("no trees stand at hamlets and masts", () => {
  const { west, east } = findMastPlaces(island);
  for (const { index } of [...findHamletPlaces(island), west, east]) {
    const around = [-2, -1, 0, 1, 2].flatMap((row) => [-2, 0, 2].map((column) => index + row * island.width + column));
    expect(around.map((at) => treesM[at])).toEqual(around.map(() => 0));
  }
});
