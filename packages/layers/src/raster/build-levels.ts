import type { LatticeWindow } from "@fellmark/geodesy";
import { TIER_CLASS } from "@fellmark/tiers";
import type { LayerLevel } from "../layer-raster.ts";

/** Cells along the longer side below which no coarser level is made: a single cell would be more than 1 % of a row. */
const LEAST_SIDE_CELLS = 96;

/**
 * Returns the classes at their own zoom and at each coarser one, down to a raster of about 50 cells a side.
 * A cell of a coarser level is one of the classes of its four cells. Which one is chosen so that each class keeps its
 * share of the raster: what a cell takes too much of a class, later cells take less. The most frequent class alone would
 * let small areas vanish.
 */
export function buildLevels(window: LatticeWindow, classes: Uint8Array): LayerLevel[] {
  const levels: LayerLevel[] = [{ window, classes }];
  let finer = levels[0];
  while (finer.window.zoom > 0 && Math.max(finer.window.width, finer.window.height) >= LEAST_SIDE_CELLS) {
    finer = halve(finer);
    levels.push(finer);
  }
  return levels;
}

function halve({ window: { zoom, col0, row0, width, height }, classes }: LayerLevel): LayerLevel {
  const [west, north] = [Math.floor(col0 / 2), Math.floor(row0 / 2)];
  const window: LatticeWindow = {
    zoom: zoom - 1,
    col0: west,
    row0: north,
    width: Math.ceil((col0 + width) / 2) - west,
    height: Math.ceil((row0 + height) / 2) - north,
  };
  const halved = new Uint8Array(window.width * window.height);
  const owed = new Float64Array(256);
  const four = new Uint8Array(4);
  for (let row = 0; row < window.height; row++) {
    for (let step = 0; step < window.width; step++) {
      // Rows are walked to and fro, so that what a cell owes falls to a neighbour.
      const column = row % 2 === 0 ? step : window.width - 1 - step;
      for (let part = 0; part < 4; part++) {
        const x = 2 * (west + column) + (part & 1) - col0;
        const y = 2 * (north + row) + (part >> 1) - row0;
        four[part] = x < 0 || y < 0 || x >= width || y >= height ? TIER_CLASS.outside : classes[y * width + x];
      }
      halved[row * window.width + column] = chooseClass(four, owed);
    }
  }
  return { window, classes: halved };
}

/** Chooses the class of four cells that is owed most, and keeps account. Cells of one class need none. */
function chooseClass(four: Uint8Array, owed: Float64Array): number {
  if (four[0] === four[1] && four[0] === four[2] && four[0] === four[3]) return four[0];
  for (const tier of four) owed[tier] += 0.25;
  let chosen = four[0];
  for (const tier of four) if (owed[tier] > owed[chosen]) chosen = tier;
  owed[chosen] -= 1;
  return chosen;
}
