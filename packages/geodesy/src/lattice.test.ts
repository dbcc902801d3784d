import { describe, expect, it } from "vitest";
import { findGeodesic, findGeodesicPoint } from "./geodesic.ts";
import {
  chooseZoom,
  computeCellSizeM,
  toLatitudeDeg,
  toLatticeColumn,
  toLatticeRow,
  toLongitudeDeg,
} from "./lattice.ts";
import { createRadialFan, createRadialTrack, findFanTrack } from "./radial-track.ts";
import { createRowFrame } from "./row-frame.ts";
import { fitWindow } from "./window.ts";

describe("the lattice", () => {
  it("has the ground size of the web-map pyramid (OGC 17-083r4, annex D: 156543.034 m at zoom 0)", () => {
    expect(computeCellSizeM(0, 0)).toBeCloseTo(156543.034, 3);
    expect(computeCellSizeM(45, 12)).toBeCloseTo(27.02, 2);
  });

  it("returns from cell to degrees", () => {
    for (const lat of [-84, -45, 0, 12.5, 60, 84]) {
      expect(toLatitudeDeg(toLatticeRow(lat, 12), 12)).toBeCloseTo(lat, 11);
      expect(toLongitudeDeg(toLatticeColumn(2 * lat, 12), 12)).toBeCloseTo(2 * lat, 11);
    }
  });

  it("picks the zoom whose cell is nearest to the wanted one", () => {
    expect(chooseZoom(45, 30)).toBe(12);
    expect(chooseZoom(45, 13)).toBe(13);
  });
});

describe.each([
  { lat: 0, radiusM: 20_000, limitM: 0.03 },
  { lat: 45, radiusM: 20_000, limitM: 0.03 },
  { lat: 60, radiusM: 20_000, limitM: 0.035 },
  { lat: -45, radiusM: 40_000, limitM: 0.24 },
])("at latitude $lat, $radiusM m (against geographiclib)", ({ lat, radiusM, limitM }) => {
  const origin = { lon: 7.1234, lat };
  const window = fitWindow([origin], radiusM, 12);

  it("measures range and bearing of cells within the stated error", () => {
    const frame = createRowFrame(origin, toLatticeRow(origin.lat, 12), window);
    let worstM = 0;
    let worstDeg = 0;
    for (let azimuth = 0; azimuth < 360; azimuth += 7) {
      const end = findGeodesicPoint(origin, azimuth, radiusM);
      const column = Math.floor(toLatticeColumn(end.lon, 12)) - window.col0;
      const row = Math.floor(toLatticeRow(end.lat, 12)) - window.row0;
      const centre = {
        lon: toLongitudeDeg(window.col0 + column + 0.5, 12),
        lat: toLatitudeDeg(window.row0 + row + 0.5, 12),
      };
      const exact = findGeodesic(origin, centre);
      const across = column + 0.5 - frame.originColumn;
      const eastM = (frame.eastPerColumnM[row] as number) * across;
      const northM = frame.northM[row] as number;
      const bearing = Math.atan2(eastM, northM) - (frame.turnPerColumnRad[row] as number) * across;
      worstM = Math.max(worstM, Math.abs(Math.hypot(eastM, northM) - exact.distanceM));
      const off = (bearing * 180) / Math.PI - exact.azimuthDeg;
      worstDeg = Math.max(worstDeg, Math.abs(off - 360 * Math.round(off / 360)));
    }
    expect(worstM).toBeLessThan(limitM);
    expect(worstDeg).toBeLessThan(0.001);
  });

  it("follows the geodesic within 0.1 m along a radial", () => {
    const steps = radiusM / 27;
    for (const azimuth of [0, 33, 90, 200, 301]) {
      const track = createRadialTrack(origin, 12, azimuth, 27, steps);
      for (const share of [0.25, 0.6, 0.75, 1]) {
        const j = steps * share;
        const lon = toLongitudeDeg(
          toLatticeColumn(origin.lon, 12) + track.columnPerStep * j + track.columnPerStep2 * j * j,
          12,
        );
        const row = toLatticeRow(origin.lat, 12) + track.rowPerStep * j + track.rowPerStep2 * j * j;
        const exact = findGeodesicPoint(origin, azimuth, 27 * j);
        expect(findGeodesic({ lon, lat: toLatitudeDeg(row, 12) }, exact).distanceM).toBeLessThan(0.1);
      }
    }
  });

  it("takes every track of the fan from a few exact ones", () => {
    const steps = radiusM / 27;
    const fan = createRadialFan(origin, 12, 27, steps);
    for (const azimuth of [0, 1.7, 93.21, 180, 271.4, 359.99]) {
      const exact = createRadialTrack(origin, 12, azimuth, 27, steps);
      const track = findFanTrack(fan, azimuth);
      const atRim = ({ columnPerStep, columnPerStep2 }: typeof track) =>
        columnPerStep * steps + columnPerStep2 * steps ** 2;
      const downRim = ({ rowPerStep, rowPerStep2 }: typeof track) => rowPerStep * steps + rowPerStep2 * steps ** 2;
      expect(Math.abs(atRim(track) - atRim(exact))).toBeLessThan(1e-6);
      expect(Math.abs(downRim(track) - downRim(exact))).toBeLessThan(1e-6);
    }
  });

  it("lies inside its window with the margin", () => {
    for (let azimuth = 0; azimuth < 360; azimuth += 15) {
      const end = findGeodesicPoint(origin, azimuth, radiusM);
      const column = toLatticeColumn(end.lon, 12) - window.col0;
      const row = toLatticeRow(end.lat, 12) - window.row0;
      expect(Math.min(column, row, window.width - column, window.height - row)).toBeGreaterThanOrEqual(3);
    }
  });
});

describe("over the antimeridian", () => {
  it("keeps one window, with columns past the edge of the world", () => {
    const window = fitWindow([{ lon: 179.99, lat: 10 }], 20_000, 10);
    expect(window.col0 + window.width).toBeGreaterThan(256 * 2 ** 10);
    const frame = createRowFrame({ lon: 179.99, lat: 10 }, toLatticeRow(10, 10), window);
    const other = createRowFrame({ lon: -180.01, lat: 10 }, toLatticeRow(10, 10), window);
    expect(other.originColumn).toBeCloseTo(frame.originColumn, 6);
  });
});
