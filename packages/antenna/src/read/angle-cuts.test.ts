import { RAD_PER_DEG, toDb } from "@fellmark/units";
import { describe, expect, test } from "vitest";
import { computeSphereMean } from "../sphere-mean.ts";
import { type ReadAntenna, readExchange } from "./read-exchange.ts";
import { type WrittenCut, writeExchangeFile } from "./testing/exchange-file.ts";

type Level = (azimuthDeg: number, elevationDeg: number) => number;

/** A beam wider around than up, 8 degrees down, 25 dB over its back: one level for each direction in space. */
const beam: Level = (azimuthDeg, elevationDeg) => {
  const [azimuth, elevation] = [azimuthDeg * RAD_PER_DEG, elevationDeg * RAD_PER_DEG];
  const down = 8 * RAD_PER_DEG;
  const [x, y, z] = [
    Math.cos(elevation) * Math.cos(azimuth),
    Math.cos(elevation) * Math.sin(azimuth),
    Math.sin(elevation),
  ];
  const ahead = Math.max(x * Math.cos(down) - z * Math.sin(down), 0);
  const above = x * Math.sin(down) + z * Math.cos(down);
  return toDb((ahead ** 2 * Math.exp(-((y / 0.8) ** 2) - (above / 0.4) ** 2) + 10 ** -2.5) / (1 + 10 ** -2.5));
};

const round: Level = (azimuthDeg, elevationDeg) => {
  const ahead = Math.cos(azimuthDeg * RAD_PER_DEG) * Math.cos(elevationDeg * RAD_PER_DEG);
  return -Math.min(12 * (Math.acos(ahead) / RAD_PER_DEG / 40) ** 2, 30);
};

const steps = (from: number, to: number, step = 10) =>
  Array.from({ length: (to - from) / step + 1 }, (_, index) => from + index * step);

type Geometry = (level: Level, angles: readonly number[]) => WrittenCut[];

const halfMeridians: Geometry = (level, angles) =>
  angles.map((azimuthDeg) => cut(azimuthDeg, -90, 90, (elevationDeg) => level(azimuthDeg, elevationDeg)));

const circleMeridians: Geometry = (level, angles) =>
  angles.map((azimuthDeg) =>
    cut(azimuthDeg, -180, 175, (angleDeg) => {
      const overTop = Math.abs(angleDeg) > 90;
      return overTop ? level(azimuthDeg + 180, Math.sign(angleDeg) * 180 - angleDeg) : level(azimuthDeg, angleDeg);
    }),
  );

const parallels: Geometry = (level, angles) =>
  angles.map((elevationDeg) => cut(elevationDeg, -180, 175, (azimuthDeg) => level(azimuthDeg, elevationDeg)));

function cut(
  angleDeg: number,
  fromDeg: number,
  toDeg: number,
  level: WrittenCut["level"],
  polarisation = "V/V",
): WrittenCut {
  return { name: angleDeg.toFixed(1), polarisation, fromDeg, toDeg, level };
}

/** The gain that a pattern with these levels has without loss, to a tenth of a dB below. */
function gainOf(level: Level): number {
  const mean = computeSphereMean({ peakGainDbi: 0, gainDbi: level, levels: "actual" });
  return Math.floor(-10 * toDb(mean)) / 10;
}

function read(cuts: WrittenCut[]): ReadAntenna {
  const text = writeExchangeFile([{ mhz: 5500, cuts }], { gainDbi: gainOf(beam), tilt: "8.0,1.0" });
  return readExchange(text, 5.5, "/antennas/0");
}

const AT_AZIMUTHS = "elevation cuts at azimuths";
const AT_ELEVATIONS = "azimuth cuts at elevations";

describe("cuts by angle that determine the sphere", () => {
  test.each([
    ["elevation cuts at azimuths all round", AT_AZIMUTHS, halfMeridians(beam, steps(-180, 170))],
    ["the same numbered from 0 to 350", AT_AZIMUTHS, halfMeridians(beam, steps(0, 350))],
    ["elevation cuts over the top and round the back", AT_AZIMUTHS, circleMeridians(beam, steps(0, 170))],
    ["azimuth cuts at elevations, one direction each at 90", AT_ELEVATIONS, parallels(beam, steps(-90, 90))],
    ["azimuth cuts that leave 10 degrees about straight up", AT_ELEVATIONS, parallels(beam, steps(-80, 80))],
  ])("%s", (_, readAs, cuts) => {
    const { pattern, warnings } = read(cuts);
    expect(warnings.map(({ detail }) => detail)).toContain(`the cuts by angle are read as ${readAs}`);
    const gainDbi = gainOf(beam);
    for (const azimuthDeg of steps(-180, 170)) {
      for (const elevationDeg of steps(-80, 80)) {
        const written = gainDbi + beam(azimuthDeg, elevationDeg);
        expect(Math.abs(pattern.gainDbi(azimuthDeg, elevationDeg, 1) - written)).toBeLessThan(0.001);
      }
    }
    // Between cuts, where the level is curved by up to 0.02 dB per square degree.
    for (const [azimuthDeg, elevationDeg] of [
      [4.7, -8],
      [33, 2.5],
      [-178, 41],
      [176, -33],
      [90, 88],
    ]) {
      const written = gainDbi + beam(azimuthDeg, elevationDeg);
      expect(Math.abs(pattern.gainDbi(azimuthDeg, elevationDeg, 1) - written)).toBeLessThan(0.6);
    }
  });

  test("the other polarisation by angle, too", () => {
    const angles = steps(0, 350);
    const weaker: Level = (azimuthDeg, elevationDeg) => beam(azimuthDeg, elevationDeg) - 22;
    const crossed = halfMeridians(weaker, angles).map((own) => ({ ...own, polarisation: "V/H" }));
    const { pattern } = read([...halfMeridians(beam, angles), ...crossed]);
    expect(pattern.crossGainDbi?.(20, -10, 1)).toBeCloseTo(gainOf(beam) + weaker(20, -10), 3);
    expect(read([...halfMeridians(beam, angles), ...crossed.slice(0, 5)]).pattern.crossGainDbi).toBeUndefined();
  });
});

describe("cuts by angle are refused by line and reason", () => {
  test.each<[string, WrittenCut[], string]>([
    ["four planes", circleMeridians(beam, [0, 45, 90, 135]), "as elevation cuts 45 degrees lie between -180 and -135"],
    ["elevation cuts of the front", halfMeridians(beam, steps(-90, 90)), "180 degrees lie between 90 and 270"],
    ["a few elevations", parallels(beam, steps(-20, 20)), "as azimuth cuts 70 degrees lie between -90 and -20"],
    ["one cut", halfMeridians(beam, [0]), "360 degrees lie between 0 and 360"],
    ["one direction twice", circleMeridians(beam, [...steps(0, 170), 180]), "occurs twice"],
    [
      "circles about the beam",
      circleMeridians((_, elevationDeg) => round(0, elevationDeg), steps(0, 170)).map((own) => ({
        ...own,
        level: (offDeg: number) => round(offDeg, 0),
      })),
      "all meet ahead, and nothing says which of them is upright",
    ],
    ["one level all round, which fits both ways", parallels(() => 0, steps(-85, 85)), "alike"],
    [
      "elevation cuts that do not meet above",
      halfMeridians((azimuthDeg) => -Math.abs(azimuthDeg) / 10, steps(-180, 170)),
      "differ by 18.0 dB at 90, where all meet",
    ],
  ])("%s", (_, cuts, reason) => {
    expect(() => read(cuts)).toThrow("/antennas/0/text: line 14: the cuts by angle do not determine the sphere: ");
    expect(() => read(cuts)).toThrow(reason);
  });
});
