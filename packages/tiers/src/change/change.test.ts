import { toLatticeColumn, toLatticeRow } from "@fellmark/geodesy";
import { createCanvas, loadImage } from "@napi-rs/canvas";
import { describe, expect, it } from "vitest";
import { findGeometryFaults } from "../testing/geometry-faults.ts";
import { TIER_CLASS } from "../tier-class.ts";
import { CHANGES } from "./changes.ts";
import { drawChange } from "./draw-change.ts";
import { traceChange } from "./trace-change.ts";

const SIZE = 400;
const WINDOW = {
  zoom: 12,
  col0: Math.floor(toLatticeColumn(-150, 12)),
  row0: Math.floor(toLatticeRow(-40, 12)),
  width: SIZE,
  height: SIZE,
};

/** Four bands from west to east, one of each change; the southern half without change. */
const BANDS = Uint8Array.from({ length: SIZE * SIZE }, (_, at) =>
  at < (SIZE * SIZE) / 2 ? 1 + Math.floor((4 * (at % SIZE)) / SIZE) : TIER_CLASS.noService,
);

describe("the change as GeoJSON", () => {
  it("has one exclusive feature for each change, of equal shares here", () => {
    const collection = traceChange(WINDOW, BANDS);
    expect(collection.features.map(({ properties }) => properties.change)).toEqual([...CHANGES]);
    for (const { properties } of collection.features) expect(properties.share).toBeCloseTo(1 / 8, 6);
    expect(findGeometryFaults(collection)).toEqual([]);
  });

  it("keeps a single cell that is lost", () => {
    const classes = new Uint8Array(SIZE * SIZE);
    classes[SIZE * 200 + 200] = 2;
    const { features } = traceChange(WINDOW, classes);
    expect(features.map(({ properties }) => properties.change)).toEqual(["lost"]);
  });

  it("is empty where nothing changes, is known or belongs to the area", () => {
    for (const everywhere of [TIER_CLASS.noService, TIER_CLASS.notKnown, TIER_CLASS.outside]) {
      expect(traceChange(WINDOW, new Uint8Array(SIZE * SIZE).fill(everywhere)).features).toEqual([]);
    }
  });
});

describe("the picture of a change", () => {
  const scene = {
    window: WINDOW,
    classes: BANDS,
    heightsAmslM: new Float32Array(SIZE * SIZE).fill(100),
    masts: [],
    sectors: [],
    title: "Four bands",
    caution: "Prediction, not a promise: survey before you sell or climb.",
    widthPx: SIZE,
  };

  it("is the same for the same input", async () => {
    expect((await drawChange(scene)).equals(await drawChange(scene))).toBe(true);
  });

  it("hatches gains one way and losses crosswise, new service thicker than a better plan", async () => {
    const image = await loadImage(await drawChange(scene));
    const context = createCanvas(image.width, image.height).getContext("2d");
    context.drawImage(image, 0, 0);
    const pixel = (x: number, y: number) =>
      context
        .getImageData(x, 40 + y, 1, 1)
        .data.subarray(0, 3)
        .join();
    const square = [...Array(64).keys()].map((at) => [at % 8, Math.floor(at / 8)]);
    const looks = CHANGES.map((_, band) => {
      const left = band * 100 + 40;
      const isInked = (x: number, y: number) => pixel(left + x, 60 + y) !== pixel(10, 300);
      return {
        inked: square.filter(([x, y]) => isInked(x, y)).length,
        isRising: square.every(([x, y]) => isInked(x, y) === isInked(x + 1, y - 1)),
        isFalling: square.every(([x, y]) => isInked(x, y) === isInked(x + 1, y + 1)),
      };
    });
    const [thick, thin] = [32, 16];
    expect(looks).toEqual([
      { inked: thick, isRising: true, isFalling: false },
      { inked: thick, isRising: false, isFalling: true },
      { inked: thin, isRising: true, isFalling: false },
      { inked: thin, isRising: false, isFalling: true },
    ]);
  });
});
