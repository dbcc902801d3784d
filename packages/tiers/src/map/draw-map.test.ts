import { toLatticeColumn, toLatticeRow } from "@fellmark/geodesy";
import { createCanvas, loadImage } from "@napi-rs/canvas";
import { expect, it } from "vitest";
import { markWaterCells, TIER_CLASS } from "../tier-class.ts";
import { drawMap, type MapOptions } from "./draw-map.ts";
import { createMapColours } from "./map-colours.ts";
import { roundLengthM } from "./map-legend.ts";
import { createPixelFrame, pickClassPixels } from "./map-pixels.ts";

const SIZE = 400;
const COL0 = Math.floor(toLatticeColumn(-150, 12));
const ROW0 = Math.floor(toLatticeRow(-40, 12));

/** Quarters of plan 1, plan 2, no service and not known, on a dome. */
const SCENE: MapOptions = {
  window: { zoom: 12, col0: COL0, row0: ROW0, width: SIZE, height: SIZE },
  classes: Uint8Array.from({ length: SIZE * SIZE }, (_, at) => {
    return [1, 2, 0, 254][Number(at % SIZE >= SIZE / 2) + 2 * Number(at >= (SIZE * SIZE) / 2)];
  }),
  heightsAmslM: Float32Array.from({ length: SIZE * SIZE }, (_, at) => {
    return 900 * Math.exp(-(((at % SIZE) - 200) ** 2 + (Math.floor(at / SIZE) - 200) ** 2) / 9000);
  }),
  plans: [
    { id: "p100", downMbps: 100, upMbps: 20 },
    { id: "p25", downMbps: 25, upMbps: 5 },
  ],
  masts: [{ id: "s1", lon: -149.99, lat: -40.01 }],
  sectors: [{ site: "s1", azimuthDeg: 90 }],
  title: "Four quarters",
  caution: "Prediction, not a promise: survey before you sell or climb.",
  widthPx: 500,
};

it("is a small indexed PNG, the same for the same input", async () => {
  const png = await drawMap(SCENE);
  expect(png.subarray(1, 4).toString()).toBe("PNG");
  expect([png.readUInt32BE(16), png.readUInt8(24), png.readUInt8(25)]).toEqual([500, 8, 3]);
  expect(png.length).toBeLessThan(60_000);
  expect(png.equals(await drawMap(SCENE))).toBe(true);
});

it("shows each class in its own colour, north up", async () => {
  const image = await loadImage(await drawMap(SCENE));
  const context = createCanvas(image.width, image.height).getContext("2d");
  context.drawImage(image, 0, 0);
  const at = (x: number, y: number) => Array.from(context.getImageData(x, 23 + y, 1, 1).data.subarray(0, 3));
  const { palette, indexOf } = createMapColours(2);
  expect(at(10, 100)).toEqual(palette[indexOf(1, Math.SQRT1_2)]);
  expect(at(440, 100)).toEqual(palette[indexOf(2, Math.SQRT1_2)]);
  expect(at(10, 480)).toEqual(palette[indexOf(0, Math.SQRT1_2)]);
});

it("stripes a plan that a survey must come before with its ground", async () => {
  const classes = SCENE.classes.map((tier) => (tier === 1 ? 3 : tier));
  const image = await loadImage(await drawMap({ ...SCENE, classes }));
  const context = createCanvas(image.width, image.height).getContext("2d");
  context.drawImage(image, 0, 0);
  const { palette, indexOf, groundIndex } = createMapColours(2);
  const row = Array.from(context.getImageData(0, 23 + 20, 12, 1).data).filter((_, at) => at % 4 < 3);
  const colours = Array.from({ length: 12 }, (_, x) => row.slice(3 * x, 3 * x + 3).join());
  const [plan, ground] = [indexOf(1, Math.SQRT1_2), groundIndex(Math.SQRT1_2)].map((index) => palette[index].join());
  expect(colours.filter((colour) => colour === plan)).toHaveLength(6);
  expect(colours.filter((colour) => colour === ground)).toHaveLength(6);
});

it("refuses rasters that do not fit the window, and more plans than it has colours for", async () => {
  await expect(drawMap({ ...SCENE, classes: new Uint8Array(3) })).rejects.toThrow("the rasters 3 and 160000");
  const plans = Array.from({ length: 33 }, (_, index) => ({ id: `p${index}`, downMbps: 1, upMbps: 1 }));
  await expect(drawMap({ ...SCENE, plans })).rejects.toThrow("32 plans at most");
});

it("takes the most frequent class under a pixel, of equals the one that promises less", () => {
  const frame = createPixelFrame(4, 2, 2);
  expect([...pickClassPixels(frame, Uint8Array.of(1, 1, 1, 2, 2, 1, 2, 1))]).toEqual([1, 2]);
});

it("has scale bars of 1, 2 or 5 times a power of ten", () => {
  expect([roundLengthM(999), roundLengthM(1000), roundLengthM(4999), roundLengthM(7000)]).toEqual([
    500, 1000, 2000, 5000,
  ]);
});

it("shows open water without service in a colour of its own, and plans on it as plans", async () => {
  const isWater = SCENE.classes.map((_, at) => Number(Math.floor(at / SIZE) >= SIZE / 4));
  const classes = markWaterCells(SCENE.classes, isWater);
  expect(markWaterCells(SCENE.classes, null)).toBe(SCENE.classes);
  const image = await loadImage(await drawMap({ ...SCENE, classes }));
  const context = createCanvas(image.width, image.height).getContext("2d");
  context.drawImage(image, 0, 0);
  const at = (x: number, y: number) => Array.from(context.getImageData(x, 23 + y, 1, 1).data.subarray(0, 3));
  const { palette, indexOf } = createMapColours(2);
  expect(at(10, 480)).toEqual(palette[indexOf(TIER_CLASS.water, 0.5)]);
  expect(at(10, 200)).toEqual(palette[indexOf(1, Math.SQRT1_2)]);
});
