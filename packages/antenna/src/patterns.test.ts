import { InputError, toRatio } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { createCutsPattern } from "./cuts-pattern.ts";
import { createIsotropicPattern } from "./pattern.ts";
import { aimPattern, toAntennaFrame } from "./pointing.ts";
import { computeSphereMean } from "./sphere-mean.ts";
import { createTr38901Pattern } from "./tr38901.ts";

const FRONT = { downtiltDeg: 5, azimuthDeg: 90 };

describe("mechanical tilt of 5 degrees", () => {
  it("lowers the front by 5, raises the back by 5 and leaves the sides alone", () => {
    expect(toAntennaFrame(90, -5, FRONT).elevationDeg).toBeCloseTo(0, 12);
    expect(toAntennaFrame(270, 5, FRONT).elevationDeg).toBeCloseTo(0, 12);
    expect(Math.abs(toAntennaFrame(270, 5, FRONT).azimuthDeg)).toBeCloseTo(180, 12);
    for (const side of [0, 180]) expect(toAntennaFrame(side, 0, FRONT).elevationDeg).toBeCloseTo(0, 12);
    expect(toAntennaFrame(180, 0, FRONT).azimuthDeg).toBeCloseTo(90, 12);
    expect(toAntennaFrame(0, 0, FRONT).azimuthDeg).toBeCloseTo(-90, 12);
  });

  it("follows the equations of F.1336-5 3.3 in between", () => {
    const [th, ph, b] = [2, 40, -5].map((deg) => (deg * Math.PI) / 180);
    const seen = toAntennaFrame(130, 2, FRONT);
    const theta = Math.asin(Math.sin(th) * Math.cos(b) - Math.cos(th) * Math.cos(ph) * Math.sin(b));
    const phi = Math.acos((Math.sin(th) * Math.sin(b) + Math.cos(th) * Math.cos(ph) * Math.cos(b)) / Math.cos(theta));
    expect(seen.elevationDeg).toBeCloseTo((theta * 180) / Math.PI, 10);
    expect(seen.azimuthDeg).toBeCloseTo((phi * 180) / Math.PI, 10);
  });

  it("rolls the right side down", () => {
    expect(toAntennaFrame(180, 0, { ...FRONT, downtiltDeg: 0, rollDeg: 10 }).elevationDeg).toBeCloseTo(10, 12);
  });
});

it("turns with the world: antenna and direction moved together change nothing", () => {
  const pattern = createTr38901Pattern();
  const here = aimPattern(pattern, { azimuthDeg: 20, downtiltDeg: 4, rollDeg: 3 });
  const there = aimPattern(pattern, { azimuthDeg: 337, downtiltDeg: 4, rollDeg: 3 });
  for (let azimuth = 0; azimuth < 360; azimuth += 15) {
    expect(there.gainDbi(azimuth + 317, -3, 0)).toBeCloseTo(here.gainDbi(azimuth, -3, 0), 9);
  }
});

describe("the element of TR 38.901, table 7.3-1", () => {
  const pattern = createTr38901Pattern();

  it("has 8 dBi ahead, 3 dB less at half its width, 30 dB less behind", () => {
    expect(pattern.gainDbi(0, 0, 0)).toBe(8);
    expect(pattern.gainDbi(32.5, 0, 0)).toBeCloseTo(5, 12);
    expect(pattern.gainDbi(0, -32.5, 1)).toBeCloseTo(5, 12);
    expect(pattern.gainDbi(180, 0, 0)).toBe(-22);
    expect(pattern.gainDbi(90, 60, 0)).toBe(-22);
  });

  it("keeps its sphere mean of 0.656797749 (independent integration)", () => {
    expect(Math.abs(computeSphereMean(pattern) - 0.656797749)).toBeLessThan(1e-4);
    expect(Math.abs(computeSphereMean(pattern, 1, 0.25) - 0.656797749)).toBeLessThan(1e-5);
  });
});

it("averages an isotropic antenna to its gain, at any step", () => {
  for (const step of [1, 10, 45])
    expect(computeSphereMean(createIsotropicPattern(3), 0, step)).toBeCloseTo(toRatio(3), 12);
});

describe("two cuts joined", () => {
  const horizontal = [
    [0, 0],
    [90, -20],
    [180, -30],
    [270, -20],
  ] as const;
  const vertical = [
    [-90, -28],
    [-10, -12],
    [0, 0],
    [10, -12],
    [90, -30],
  ] as const;
  const pattern = createCutsPattern({ gainDbi: 16, horizontal, vertical });

  it("is exact on both cuts", () => {
    for (const [angle, level] of horizontal) expect(pattern.gainDbi(angle, 0, 0)).toBeCloseTo(16 + level, 12);
    for (const [angle, level] of vertical) expect(pattern.gainDbi(0, angle, 0)).toBeCloseTo(16 + level, 12);
    expect(pattern.gainDbi(-45, 0, 0)).toBeCloseTo(16 - 10, 12);
  });

  it("adds the levels in the front half, less toward the zenith", () => {
    const cos2 = Math.cos((10 * Math.PI) / 180) ** 2;
    expect(pattern.gainDbi(45, 10, 0)).toBeCloseTo(16 - 12 - 10 * cos2, 12);
  });

  it("has one level straight up and one straight down, and none under the lowest of the cuts", () => {
    for (let azimuth = -180; azimuth <= 180; azimuth += 20) {
      expect(pattern.gainDbi(azimuth, 90, 0)).toBeCloseTo(-14, 9);
      expect(pattern.gainDbi(azimuth, -90, 0)).toBeCloseTo(-12, 9);
      for (let elevation = -90; elevation <= 90; elevation += 5) {
        expect(pattern.gainDbi(azimuth, elevation, 0)).toBeGreaterThanOrEqual(-14);
        expect(pattern.gainDbi(azimuth, elevation, 0)).toBeLessThanOrEqual(16);
      }
    }
  });

  it("has no step where front and back meet", () => {
    for (const elevation of [-60, -5, 0, 20]) {
      const [before, after] = [89.999, 90.001].map((azimuth) => pattern.gainDbi(azimuth, elevation, 0));
      expect(Math.abs(before - after)).toBeLessThan(0.01);
    }
  });

  it("reads the rear half of a full vertical cut", () => {
    const circle = [[-180, -30], [-170, -33], [-90, -28], [-10, -12], ...vertical.slice(2), [175, -25]] as const;
    const full = createCutsPattern({ gainDbi: 16, horizontal, vertical: circle });
    expect(full.gainDbi(180, 5, 0)).toBeCloseTo(16 - 25, 12);
    expect(full.gainDbi(-180, -10, 0)).toBeCloseTo(16 - 33, 12);
    expect(full.gainDbi(0, -10, 0)).toBeCloseTo(16 - 12, 12);
  });

  it("keeps the vertical cut of an antenna with electrical tilt, whose level ahead is not the peak", () => {
    const tilted = createCutsPattern({
      gainDbi: 16,
      horizontal,
      vertical: [
        [-90, -30],
        [-4, 0],
        [0, -3],
        [90, -30],
      ],
    });
    expect(tilted.gainDbi(0, -4, 0)).toBe(16);
    expect(tilted.gainDbi(0, 0, 0)).toBeCloseTo(13, 12);
    expect(tilted.gainDbi(90, 0, 0)).toBeCloseTo(16 - 3 - 20, 12);
  });

  it("refuses angles that do not rise or stand twice, naming the row", () => {
    const fault = (points: (readonly [number, number])[]) => () =>
      createCutsPattern({ gainDbi: 16, horizontal: points, vertical }, "/antennas/2");
    const ahead = [0, 0] as const;
    expect(fault([ahead, [90, -20], [90, -21]])).toThrow("/antennas/2/horizontal/2: the angle 90 occurs twice");
    expect(fault([ahead, [180, -20], [90, -21]])).toThrow("/antennas/2/horizontal/2: angles must rise");
    expect(fault([ahead, [180, -20], [360, 0]])).toThrow(/direction of 0 again/);
    expect(fault([ahead])).toThrow(InputError);
  });
});
