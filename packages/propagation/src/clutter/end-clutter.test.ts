import { describe, expect, it } from "vitest";
import {
  CLUTTER_ROWS,
  computeEndClutterLossDb,
  computeOverTopLossDb,
  type EndClutterClass,
  type EndClutterInput,
} from "./end-clutter.ts";
import { computeVegetationLossDb } from "./vegetation.ts";

const CLASSES = Object.keys(CLUTTER_ROWS) as EndClutterClass[];

const loss = (clutter: EndClutterClass, antennaHeightAglM: number, clutterHeightM?: number, frequencyGhz = 1.5) =>
  computeEndClutterLossDb({
    class: clutter,
    antennaHeightAglM,
    frequencyGhz,
    ...(clutterHeightM === undefined ? {} : { clutterHeightM }),
  });

describe("end clutter", () => {
  it("has the values of the workbook of P.2108-1, section 3.1 (1.5 GHz, antenna at 2 m)", () => {
    expect(loss("open", 2)).toBeCloseTo(16.0, 1);
    expect(loss("water", 2, 4)).toBeCloseTo(6.9, 1);
    expect(loss("suburban", 2)).toBeCloseTo(20.45, 1);
    expect(loss("urban", 2)).toBeCloseTo(24.5, 1);
    expect(loss("dense-urban", 2)).toBeCloseTo(27.1, 1);
    expect(computeOverTopLossDb(3, 15, 3, 15)).toBeCloseTo(29.0, 1);
  });

  it("is nothing at the height of the clutter, above it, and where it is not known", () => {
    for (const name of CLASSES) {
      expect(loss(name, 10, 10)).toBe(0);
      expect(loss(name, 30)).toBe(0);
    }
    expect(loss("unknown", 1, 20)).toBe(0);
  });

  it("is less among trees than either the path over the top or the one through the leaves", () => {
    const through = computeVegetationLossDb({ lengthM: 27, frequencyGhz: 5.6 });
    const over = computeOverTopLossDb(6, 15, 5.6);
    const both = loss("trees", 6, 15, 5.6);
    expect(both).toBeLessThan(Math.min(through, over));
    expect(both).toBeCloseTo(-10 * Math.log10(10 ** (-through / 10) + 10 ** (-over / 10)), 9);
    expect(loss("trees", 14.9999, 15, 5.6)).toBe(0);
  });

  it("is nothing where the height says that nothing stands there, whatever the class", () => {
    for (const name of CLASSES) {
      expect(loss(name, 0, 0)).toBe(0);
      expect(loss(name, 6, 0, 5.8)).toBe(0);
    }
  });

  it("has a finite value for an antenna on the ground, the greatest of its place", () => {
    for (const name of CLASSES) {
      expect(loss(name, 0, 12, 5.8)).toBeLessThan(60);
      expect(loss(name, 0, 12, 5.8)).toBeGreaterThanOrEqual(loss(name, 1, 12, 5.8));
      expect(loss(name, 0, 0.8, 5.8)).toBeGreaterThanOrEqual(0);
    }
  });

  it("refuses heights below the ground, and passes on what is not known", () => {
    expect(() => loss("trees", -0.1, 10)).toThrow(RangeError);
    expect(() => loss("unknown", 6, -1)).toThrow(RangeError);
    expect(loss("trees", 6, Number.NaN)).toBeNaN();
    expect(loss("open", 6, Number.NaN)).toBeNaN();
    expect(loss("unknown", 6, Number.NaN)).toBe(0);
  });

  it("among bare trees is less than among trees in foliage, more by P.833 than by Weissberger, all below the top", () => {
    const trees: EndClutterInput = { class: "trees", clutterHeightM: 12, antennaHeightAglM: 5, frequencyGhz: 5.8 };
    const [bare, leaves] = [computeEndClutterLossDb({ ...trees, foliage: "leaf-off" }), computeEndClutterLossDb(trees)];
    const [bareWood, wood] = [
      computeEndClutterLossDb({ ...trees, foliage: "leaf-off", vegetationLaw: "p833" }),
      computeEndClutterLossDb({ ...trees, vegetationLaw: "p833" }),
    ];
    const inOrder = [bare, leaves, bareWood, wood, computeOverTopLossDb(5, 12, 5.8)];
    expect(inOrder).toEqual(inOrder.toSorted((a, b) => a - b));
    expect(computeEndClutterLossDb({ ...trees, foliage: "leaf-off", class: "urban" })).toBe(loss("urban", 5, 12, 5.8));
    expect(computeEndClutterLossDb({ ...trees, antennaHeightAglM: 12.5, vegetationLaw: "p833" })).toBe(0);
  });

  it("never grows when the antenna is raised", () => {
    for (const name of CLASSES) {
      for (let height = 1; height < 20; height += 0.5) {
        expect(loss(name, height + 0.5, undefined, 5.6)).toBeLessThanOrEqual(loss(name, height, undefined, 5.6));
      }
    }
  });
});
