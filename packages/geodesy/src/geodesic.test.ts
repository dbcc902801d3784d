import { describe, expect, it } from "vitest";
import { createGeodesicLine, findGeodesic, findGeodesicPoint } from "./index.ts";

describe("a geodesic line", () => {
  it.each([
    { from: { lon: 10, lat: 45 }, to: { lon: 10.3, lat: 45.2 }, nodes: 9 },
    { from: { lon: 179.9, lat: -17 }, to: { lon: 180.05, lat: -17.05 }, nodes: 5 },
    { from: { lon: 10, lat: 45 }, to: { lon: 10.001, lat: 45 }, nodes: 3 },
  ])("from $from to $to has the ends, azimuths and points of geographiclib", ({ from, to, nodes }) => {
    const line = createGeodesicLine(from, to);
    const exact = findGeodesic(from, to);
    expect(line.distanceM).toBeCloseTo(exact.distanceM, 6);
    expect(line.azimuthDeg).toBeCloseTo(exact.azimuthDeg, 9);
    expect(line.backAzimuthDeg).toBeCloseTo(exact.backAzimuthDeg, 9);
    expect(line.nodeLon).toHaveLength(nodes);
    line.nodeLon.forEach((lon, node) => {
      const at = findGeodesicPoint(from, exact.azimuthDeg, (exact.distanceM * node) / (nodes - 1));
      expect(lon).toBeCloseTo(at.lon, 10);
      expect(line.nodeLat[node]).toBeCloseTo(at.lat, 10);
    });
  });

  it("between a place and itself is that place", () => {
    const { distanceM, nodeLon, nodeLat } = createGeodesicLine({ lon: 10, lat: 45 }, { lon: 10, lat: 45 });
    expect(distanceM).toBe(0);
    for (const lon of nodeLon) expect(lon).toBeCloseTo(10, 12);
    for (const lat of nodeLat) expect(lat).toBeCloseTo(45, 12);
  });
});
