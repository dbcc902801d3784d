import { createSeededRandom } from "@fellmark/testkit";
import { computeTierAreas, TIER_CLASS } from "@fellmark/tiers";
import { describe, expect, it } from "vitest";
import { buildScene, drawSceneClasses, SCENE_PLANS, SCENE_WINDOW } from "../testing/layer-scene.ts";
import { buildLevels } from "./build-levels.ts";
import { hideSmallAreas } from "./hide-small-areas.ts";
import { decodeRaster, encodeRaster } from "./raster-file.ts";

const classes = drawSceneClasses(SCENE_WINDOW, createSeededRandom(3));

describe("levels", () => {
  it("keep the share of every class within 1 % of the area, and lie on the lattice", () => {
    const levels = buildLevels(SCENE_WINDOW, classes);
    expect(levels.length).toBeGreaterThan(3);
    const wanted = computeTierAreas(SCENE_WINDOW, classes);
    let worst = 0;
    for (const { window, classes: coarse } of levels) {
      expect(coarse).toHaveLength(window.width * window.height);
      const areas = computeTierAreas(window, coarse);
      for (const [tier, { share }] of areas.entries()) worst = Math.max(worst, Math.abs(share - wanted[tier].share));
    }
    expect(worst).toBeLessThan(0.01);
  });

  it("show no class that the four cells below do not have", () => {
    const [fine, coarse] = buildLevels(SCENE_WINDOW, classes);
    let foreign = 0;
    for (let cell = 0; cell < coarse.classes.length; cell++) {
      const column = 2 * (coarse.window.col0 + (cell % coarse.window.width)) - fine.window.col0;
      const row = 2 * (coarse.window.row0 + Math.floor(cell / coarse.window.width)) - fine.window.row0;
      const below = [0, 1, 2, 3].map((part) => {
        const [x, y] = [column + (part & 1), row + (part >> 1)];
        const isIn = x >= 0 && y >= 0 && x < fine.window.width && y < fine.window.height;
        return isIn ? fine.classes[y * fine.window.width + x] : TIER_CLASS.outside;
      });
      if (!below.includes(coarse.classes[cell])) foreign++;
    }
    expect(foreign).toBe(0);
  });
});

describe("small areas", () => {
  const [width, height] = [60, 50];
  const window = { ...SCENE_WINDOW, width, height };
  const sizesOf = (raster: Uint8Array) => {
    const sizes: { tier: number; cells: number; touchesRim: boolean }[] = [];
    const seen = new Set<number>();
    for (let start = 0; start < raster.length; start++) {
      if (seen.has(start)) continue;
      const area = [start];
      seen.add(start);
      for (const cell of area)
        for (const next of [cell - width, cell + width, ...(cell % width ? [cell - 1] : []), cell + 1]) {
          if (next % width === 0 && next === cell + 1) continue;
          if (raster[next] === raster[start] && !seen.has(next)) {
            seen.add(next);
            area.push(next);
          }
        }
      const touchesRim = area.some(
        (cell) => cell % width === 0 || cell % width === width - 1 || cell < width || cell >= width * (height - 1),
      );
      sizes.push({ tier: raster[start], cells: area.length, touchesRim });
    }
    return sizes;
  };

  // A cell is 729 m2 at this place: 2,500 m2 are four cells.
  it("of any class are gone, and no cell promises more than before", () => {
    const random = createSeededRandom(5);
    const raster = Uint8Array.from({ length: width * height }, (_, cell) => {
      if (random() < 0.05) return [0, 1, 2, 3, 4, 254, 255][Math.floor(7 * random())];
      return cell % width < 30 ? 1 : 2;
    });
    const hidden = hideSmallAreas(window, raster, SCENE_PLANS.length);
    const small = sizesOf(hidden).filter(({ cells, touchesRim }) => cells < 4 && !touchesRim);
    expect(sizesOf(raster).filter(({ cells }) => cells < 4).length).toBeGreaterThan(50);
    expect(small).toEqual([]);
    const promise = (tier: number) => (tier === 0 ? 253 : tier);
    expect(raster.filter((tier, cell) => promise(hidden[cell]) < promise(tier))).toHaveLength(0);
  });

  it("leave large ones as they are", () => {
    const raster = Uint8Array.from({ length: width * height }, (_, cell) => (cell % width < 30 ? 1 : 0));
    expect(hideSmallAreas(window, raster, SCENE_PLANS.length)).toEqual(raster);
  });

  it("around one home: a single cell without service takes three of its neighbours", () => {
    const raster = new Uint8Array(width * height).fill(1);
    raster[25 * width + 30] = 0;
    const hidden = hideSmallAreas(window, raster, SCENE_PLANS.length);
    expect(hidden.filter((tier) => tier === 0)).toHaveLength(4);
  });
});

describe("the file of a layer's classes", () => {
  const raster = buildScene(createSeededRandom(7));

  it("holds every level as it was, in the same bytes each time", async () => {
    const file = await encodeRaster(raster);
    expect(file.equals(await encodeRaster(raster))).toBe(true);
    const read = await decodeRaster(file);
    expect(read.plans).toEqual(raster.plans);
    expect(read.levels.map(({ window }) => window)).toEqual(raster.levels.map(({ window }) => window));
    for (const [index, { classes: cells }] of read.levels.entries()) {
      expect(Buffer.compare(cells, raster.levels[index].classes)).toBe(0);
      expect(cells.slice().buffer).not.toBe(cells.buffer);
    }
  });

  it("that was cut or is another file is refused", async () => {
    const file = await encodeRaster(raster);
    await expect(decodeRaster(file.subarray(0, file.length >> 1))).rejects.toThrow();
    await expect(decodeRaster(Buffer.from("no gzip"))).rejects.toThrow();
  });
});
