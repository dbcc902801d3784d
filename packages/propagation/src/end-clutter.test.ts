import { describe, expect, it } from "vitest";
import { CLUTTER_ROWS, type EndClutterClass, endClutterLossDb, foliageLossDb, overTopLossDb } from "./index.ts";

const loss = (clutter: EndClutterClass, antennaHeightAglM: number, clutterHeightM?: number, frequencyGhz = 1.5) =>
  endClutterLossDb({
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
    expect(overTopLossDb(3, 15, 3, 15)).toBeCloseTo(29.0, 1);
  });

  it("is nothing at the height of the clutter, above it, and where it is not known", () => {
    for (const name of Object.keys(CLUTTER_ROWS) as EndClutterClass[]) {
      expect(loss(name, 10, 10)).toBe(0);
      expect(loss(name, 30)).toBe(0);
    }
    expect(loss("unknown", 1, 20)).toBe(0);
  });

  it("is less among trees than either the path over the top or the one through the leaves", () => {
    const through = foliageLossDb(27, 5.6);
    const over = overTopLossDb(6, 15, 5.6);
    const both = loss("trees", 6, 15, 5.6);
    expect(both).toBeLessThan(Math.min(through, over));
    expect(both).toBeCloseTo(-10 * Math.log10(10 ** (-through / 10) + 10 ** (-over / 10)), 9);
    expect(loss("trees", 14.9999, 15, 5.6)).toBe(0);
  });

  it("never grows when the antenna is raised", () => {
    for (const name of Object.keys(CLUTTER_ROWS) as EndClutterClass[]) {
      for (let height = 1; height < 20; height += 0.5) {
        expect(loss(name, height + 0.5, undefined, 5.6)).toBeLessThanOrEqual(loss(name, height, undefined, 5.6));
      }
    }
  });
});

it("loses in leaves what Weissberger's curve gives at 5.8 GHz (values worked by hand: 7.4, 10.4, 16.2 dB)", () => {
  expect(foliageLossDb(10, 5.8)).toBeCloseTo(7.41, 2);
  expect(foliageLossDb(14, 5.8)).toBeCloseTo(10.38, 2);
  expect(foliageLossDb(30, 5.8)).toBeCloseTo(16.19, 2);
  expect(foliageLossDb(900, 5.8)).toBe(foliageLossDb(400, 5.8));
});
