import { findGeodesicPoint } from "@fellmark/geodesy";
import { describe, expect, it } from "vitest";
import { coverPath, createEvenPath, createMastPath } from "./mast-path.ts";

const GAP = Number.NaN;
const NO_AZIMUTHS = { azimuthDeg: null, backAzimuthDeg: null };

const evenPath = (...heights: number[]) => createEvenPath(600, Float64Array.from(heights), NO_AZIMUTHS);

describe("gaps of a profile", () => {
  it("are counted, then bridged by straight lines between their known neighbours", () => {
    const path = evenPath(10, GAP, GAP, 40, GAP, 20, 25);
    expect([...path.bareAmslM]).toEqual([10, 20, 30, 40, 30, 20, 25]);
    expect([...path.surfaceAmslM]).toEqual([...path.bareAmslM]);
    expect(path.notKnownShare).toBeCloseTo(3 / 7, 12);
    expect([path.stepM, path.distanceM]).toEqual([100, 600]);
  });

  it("at either end leave the whole path unknown; without any nothing is", () => {
    expect(evenPath(GAP, 1, 2).notKnownShare).toBe(1);
    expect(evenPath(1, 2, GAP).notKnownShare).toBe(1);
    expect(evenPath(1, 2, 3).notKnownShare).toBe(0);
  });

  it("leave the heights given as they are", () => {
    const heights = Float64Array.of(1, GAP, 3);
    createEvenPath(600, heights, NO_AZIMUTHS);
    expect(heights[1]).toBeNaN();
  });
});

describe("clutter on a path", () => {
  it("raises its interior points by the higher of trees and buildings; the treeless path by buildings alone", () => {
    const canopyHeightM = Float64Array.of(9, 15, 0, 4, 9);
    const buildingHeightM = Float64Array.of(9, 0, 6, 8, 9);
    const path = coverPath(evenPath(100, 100, 101, 102, 100), { canopyHeightM, buildingHeightM });
    expect([...path.surfaceAmslM]).toEqual([100, 115, 107, 110, 100]);
    expect([...(path.cover?.treeless.surfaceAmslM ?? [])]).toEqual([100, 100, 107, 110, 100]);
    expect([...path.bareAmslM]).toEqual([100, 100, 101, 102, 100]);
    expect(path.cover?.canopyHeightM).toBe(canopyHeightM);
  });
});

describe("the directions of a path", () => {
  it("are those of the geodesic between its ends; null without places", () => {
    const from = { lon: -30, lat: 12 };
    const to = findGeodesicPoint(from, 90, 20_000);
    const distances = Float64Array.of(0, 5000, 20_000);
    const path = createMastPath(distances, new Float64Array(3), { from, to });
    // East at the start; on a northern parallel the way back points a little north of west, by sin(lat) of the turn.
    expect(path.azimuthDeg).toBeCloseTo(90, 6);
    expect((path.backAzimuthDeg ?? 0) - 270).toBeCloseTo((to.lon - from.lon) * Math.sin(12 * (Math.PI / 180)), 3);
    expect(createMastPath(distances, new Float64Array(3), null)).toMatchObject({ ...NO_AZIMUTHS, distanceM: 20_000 });
  });
});
