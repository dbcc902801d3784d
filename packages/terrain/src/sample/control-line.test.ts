import { createGeodesicLine, findCrs, findGeodesicPoint } from "@fellmark/geodesy";
import { expect, it } from "vitest";
import { interpolateLine, projectLine } from "./control-line.ts";
import type { GridGroup } from "./grid-group.ts";

const POINTS = 501;

/** Every point of a line lies within 0.01 cell of the point that geographiclib gives, projected. */
it.each([
  { crs: 4326, what: '1" at 60 degrees', step: 1 / 3600, lon: 10, lat: 60, lengthM: 40_000 },
  { crs: 4326, what: '1" at 80 degrees', step: 1 / 3600, lon: 10, lat: 80, lengthM: 40_000 },
  { crs: 4326, what: '0.1" at 45 degrees', step: 1 / 36_000, lon: 10, lat: 45, lengthM: 40_000 },
  { crs: 3857, what: "2 m on the web map", step: 2, lon: 179.9, lat: 45, lengthM: 25_000 },
  { crs: 25830, what: "2.5 m in UTM", step: 2.5, lon: -3, lat: 43.3, lengthM: 9999 },
  { crs: 32632, what: "1 m far from the meridian", step: 1, lon: 20, lat: 60, lengthM: 40_000 },
  { crs: 27700, what: "5 m on the British grid", step: 5, lon: -1.5, lat: 53, lengthM: 60_000 },
])("EPSG:$crs, $what", ({ crs, step, lon, lat, lengthM }) => {
  const from = { lon, lat };
  const group: GridGroup = { set: "", crs, x0: 0, y0: 0, stepX: step, stepY: step, members: [] };
  const cols = new Float64Array(POINTS);
  const rows = new Float64Array(POINTS);
  const { project } = findCrs(crs);
  let worst = 0;
  for (let azimuthDeg = 0; azimuthDeg < 360; azimuthDeg += 29) {
    const line = createGeodesicLine(from, findGeodesicPoint(from, azimuthDeg, lengthM));
    interpolateLine(projectLine(group, findCrs(crs), line, 0), cols, rows);
    for (let point = 0; point < POINTS; point++) {
      const at = findGeodesicPoint(from, line.azimuthDeg, (line.distanceM * point) / (POINTS - 1));
      const [x, y] = project(at.lon, at.lat);
      const right = Math.abs((cols[point] as number) - x / step);
      worst = Math.max(worst, right, Math.abs((rows[point] as number) + y / step));
    }
  }
  expect(worst).toBeLessThan(0.01);
});
