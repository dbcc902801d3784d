import { describe, expect, it } from "vitest";
import { geodesicBetween, geodesicPoint } from "./geodesic.ts";
import {
  cellSizeM,
  columnOfLongitude,
  latitudeOfRow,
  longitudeOfColumn,
  rowOfLatitude,
  zoomForCellM,
} from "./lattice.ts";
import { createRadialTrack, radialFan, trackOfFan } from "./radial-track.ts";
import { rowFrame } from "./row-frame.ts";
import { windowAround } from "./window.ts";

describe("the lattice", () => {
  it("has the ground size of the web-map pyramid (OGC 17-083r4, annex D: 156543.034 m at zoom 0)", () => {
    expect(cellSizeM(0, 0)).toBeCloseTo(156543.034, 3);
    expect(cellSizeM(45, 12)).toBeCloseTo(27.02, 2);
  });

  it("comes back from cell to degrees", () => {
    for (const lat of [-84, -45, 0, 12.5, 60, 84]) {
      expect(latitudeOfRow(rowOfLatitude(lat, 12), 12)).toBeCloseTo(lat, 11);
      expect(longitudeOfColumn(columnOfLongitude(2 * lat, 12), 12)).toBeCloseTo(2 * lat, 11);
    }
  });

  it("picks the zoom whose cell is nearest to the wanted one", () => {
    expect(zoomForCellM(45, 30)).toBe(12);
    expect(zoomForCellM(45, 13)).toBe(13);
  });
});

describe.each([
  { lat: 0, radiusM: 20_000, limitM: 0.03 },
  { lat: 45, radiusM: 20_000, limitM: 0.03 },
  { lat: 60, radiusM: 20_000, limitM: 0.035 },
  { lat: -45, radiusM: 40_000, limitM: 0.24 },
])("at latitude $lat, $radiusM m (against geographiclib)", ({ lat, radiusM, limitM }) => {
  const origin = { lon: 7.1234, lat };
  const window = windowAround([origin], radiusM, 12);

  it("measures range and bearing of cells within the stated error", () => {
    const frame = rowFrame(origin, rowOfLatitude(origin.lat, 12), window);
    let worstM = 0;
    let worstDeg = 0;
    for (let azimuth = 0; azimuth < 360; azimuth += 7) {
      const end = geodesicPoint(origin, azimuth, radiusM);
      const column = Math.floor(columnOfLongitude(end.lon, 12)) - window.col0;
      const row = Math.floor(rowOfLatitude(end.lat, 12)) - window.row0;
      const centre = {
        lon: longitudeOfColumn(window.col0 + column + 0.5, 12),
        lat: latitudeOfRow(window.row0 + row + 0.5, 12),
      };
      const exact = geodesicBetween(origin, centre);
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
        const lon = longitudeOfColumn(
          columnOfLongitude(origin.lon, 12) + track.columnPerStep * j + track.columnPerStep2 * j * j,
          12,
        );
        const row = rowOfLatitude(origin.lat, 12) + track.rowPerStep * j + track.rowPerStep2 * j * j;
        const exact = geodesicPoint(origin, azimuth, 27 * j);
        expect(geodesicBetween({ lon, lat: latitudeOfRow(row, 12) }, exact).distanceM).toBeLessThan(0.1);
      }
    }
  });

  it("takes every track of the fan from a few exact ones", () => {
    const steps = radiusM / 27;
    const fan = radialFan(origin, 12, 27, steps);
    for (const azimuth of [0, 1.7, 93.21, 180, 271.4, 359.99]) {
      const exact = createRadialTrack(origin, 12, azimuth, 27, steps);
      const track = trackOfFan(fan, azimuth);
      const atRim = ({ columnPerStep, columnPerStep2 }: typeof track) =>
        columnPerStep * steps + columnPerStep2 * steps ** 2;
      const downRim = ({ rowPerStep, rowPerStep2 }: typeof track) => rowPerStep * steps + rowPerStep2 * steps ** 2;
      expect(Math.abs(atRim(track) - atRim(exact))).toBeLessThan(1e-6);
      expect(Math.abs(downRim(track) - downRim(exact))).toBeLessThan(1e-6);
    }
  });

  it("lies inside its window with the margin", () => {
    for (let azimuth = 0; azimuth < 360; azimuth += 15) {
      const end = geodesicPoint(origin, azimuth, radiusM);
      const column = columnOfLongitude(end.lon, 12) - window.col0;
      const row = rowOfLatitude(end.lat, 12) - window.row0;
      expect(Math.min(column, row, window.width - column, window.height - row)).toBeGreaterThanOrEqual(3);
    }
  });
});

describe("over the antimeridian", () => {
  it("keeps one window, with columns past the edge of the world", () => {
    const window = windowAround([{ lon: 179.99, lat: 10 }], 20_000, 10);
    expect(window.col0 + window.width).toBeGreaterThan(256 * 2 ** 10);
    const frame = rowFrame({ lon: 179.99, lat: 10 }, rowOfLatitude(10, 10), window);
    const other = rowFrame({ lon: -180.01, lat: 10 }, rowOfLatitude(10, 10), window);
    expect(other.originColumn).toBeCloseTo(frame.originColumn, 6);
  });
});
