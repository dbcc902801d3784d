import { crsOf } from "@fellmark/geodesy";
import { seededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { gdal, needsGdal } from "./gdal.ts";

/** The British grid by the same seven parameters: with a shift grid installed PROJ would take that one. */
const BRITISH =
  "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy +units=m " +
  "+towgs84=446.448,-125.157,542.06,0.1502,0.247,0.8421,-20.4894 +no_defs";

const BOXES: { epsg: number; box: [number, number, number, number]; withinM: number }[] = [
  { epsg: 3857, box: [-180, -84, 180, 84], withinM: 1e-3 },
  { epsg: 32601, box: [-180, 0, -174, 80], withinM: 1e-3 },
  { epsg: 32633, box: [8, -10, 22, 80], withinM: 1e-3 },
  { epsg: 32760, box: [174, -80, 180, 0], withinM: 1e-3 },
  { epsg: 25828, box: [-15, 36, -9, 70], withinM: 1e-3 },
  { epsg: 25838, box: [42, 36, 48, 70], withinM: 1e-3 },
  { epsg: 26901, box: [-180, 15, -174, 70], withinM: 1e-3 },
  { epsg: 26919, box: [-75, 15, -63, 70], withinM: 1e-3 },
  { epsg: 32145, box: [-73.5, 42.7, -71.5, 45.1], withinM: 1e-3 },
  { epsg: 5646, box: [-73.5, 42.7, -71.5, 45.1], withinM: 1e-3 },
  { epsg: 27700, box: [-7, 50, 2, 60], withinM: 5e-3 },
];

/** Longitude and latitude on the system's own datum: the datums of the list are taken as one (see crs.ts). */
function sourceOf(epsg: number): string {
  if (epsg > 25800 && epsg < 25900) return "EPSG:4258";
  return (epsg > 26900 && epsg < 27000) || epsg === 32145 || epsg === 5646 ? "EPSG:4269" : "EPSG:4326";
}

describe.skipIf(!needsGdal())("every kind of system against gdaltransform (PROJ)", () => {
  it.each(BOXES)("EPSG:$epsg", ({ epsg, box: [west, south, east, north], withinM }) => {
    const random = seededRandom(epsg);
    const points = Array.from({ length: 60 }, (): [number, number] => [
      west + random() * (east - west),
      south + random() * (north - south),
    ]);
    const target = epsg === 27700 ? BRITISH : `EPSG:${epsg}`;
    const input = points.map(([lon, lat]) => `${lon} ${lat}\n`).join("");
    const output = gdal("gdaltransform", ["-s_srs", sourceOf(epsg), "-t_srs", target, "-output_xy"], input);
    const expected = output
      .trim()
      .split("\n")
      .map((line) => line.split(" ").map(Number) as [number, number]);
    expect(expected).toHaveLength(points.length);
    points.forEach(([lon, lat], index) => {
      const [x, y] = expected[index] as [number, number];
      const projected = crsOf(epsg).project(lon, lat);
      expect(Math.hypot(projected[0] - x, projected[1] - y)).toBeLessThan(withinM);
      const back = crsOf(epsg).unproject(x, y);
      expect(Math.hypot(back[0] - lon, back[1] - lat)).toBeLessThan(1e-7);
    });
  });
});
