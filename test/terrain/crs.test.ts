import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { type CrsId, findCrs } from "@fellmark/geodesy";
import { openCatalogue } from "@fellmark/terrain";
import { createSeededRandom, createTempDir } from "@fellmark/testkit";
import { afterAll, describe, expect, it } from "vitest";
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
  { epsg: 5070, box: [-125, 24, -66, 50], withinM: 1e-3 },
  { epsg: 3035, box: [-12, 34, 40, 71], withinM: 1e-3 },
  { epsg: 27700, box: [-7, 50, 2, 60], withinM: 5e-3 },
];

/** Longitude and latitude on the system's own datum: the datums of the list are taken as one (see crs.ts). */
function sourceOf(epsg: number): string {
  if ((epsg > 25800 && epsg < 25900) || epsg === 3035) return "EPSG:4258";
  const isAmerican = (epsg > 26900 && epsg < 27000) || [32145, 5646, 5070].includes(epsg);
  return isAmerican ? "EPSG:4269" : "EPSG:4326";
}

/** Systems without a code, as GDAL writes them out in keys. */
const WRITTEN_OUT: { what: string; srs: string; box: [number, number, number, number] }[] = [
  { what: "UTM", srs: "+proj=utm +zone=12 +ellps=GRS80", box: [-115, 30, -107, 60] },
  { what: "UTM south", srs: "+proj=utm +zone=21 +south +ellps=WGS84", box: [-62, -40, -54, -10] },
  {
    what: "transverse Mercator",
    srs: "+proj=tmerc +lat_0=38.5 +lon_0=-75.5 +k=0.99997 +x_0=350000 +y_0=-20000 +ellps=GRS80",
    box: [-79, 36, -73, 45],
  },
  {
    what: "Albers",
    srs: "+proj=aea +lat_0=23 +lon_0=-96 +lat_1=29.5 +lat_2=45.5 +x_0=1000 +ellps=GRS80",
    box: [-125, 24, -66, 50],
  },
  {
    what: "Albers in the south",
    srs: "+proj=aea +lat_0=0 +lon_0=132 +lat_1=-18 +lat_2=-36 +ellps=GRS80",
    box: [113, -43, 153, -10],
  },
  {
    what: "Lambert conformal, two parallels",
    srs: "+proj=lcc +lat_0=46.5 +lon_0=3 +lat_1=49 +lat_2=44 +x_0=700000 +y_0=6600000 +ellps=GRS80",
    box: [-5, 41, 10, 51],
  },
  {
    what: "Lambert conformal, one parallel",
    srs: "+proj=lcc +lat_0=45 +lon_0=9 +lat_1=45 +k_0=0.9995 +x_0=600000 +y_0=200000 +ellps=WGS84",
    box: [0, 40, 18, 50],
  },
  { what: "Lambert azimuthal", srs: "+proj=laea +lat_0=52 +lon_0=10 +x_0=10 +ellps=GRS80", box: [-12, 34, 40, 71] },
  {
    what: "polar, by latitude of true scale",
    srs: "+proj=stere +lat_0=90 +lat_ts=70 +lon_0=-45 +ellps=WGS84",
    box: [-80, 60, -10, 84],
  },
  {
    what: "polar south",
    srs: "+proj=stere +lat_0=-90 +lat_ts=-71 +lon_0=0 +x_0=500 +ellps=WGS84",
    box: [-170, -84, 170, -62],
  },
  {
    what: "polar, by scale",
    srs: "+proj=stere +lat_0=90 +lon_0=0 +k_0=0.994 +x_0=2e6 +y_0=2e6 +ellps=WGS84",
    box: [-170, 61, 170, 84],
  },
];

const scratch = createTempDir("fellmark-crs-");
afterAll(() => scratch.remove());

/** A little raster in a system, in a folder of its own. */
function rasterIn(folder: string, srs: string, [x, y]: [number, number]): string {
  mkdirSync(join(scratch.path, folder));
  const place = ["-a_srs", srs, "-a_ullr", String(x), String(y), String(x + 1000), String(y - 1000)];
  gdal("gdal_create", [
    "-q",
    "-outsize",
    "20",
    "20",
    "-ot",
    "Byte",
    "-burn",
    "7",
    ...place,
    join(scratch.path, folder, "a.tif"),
  ]);
  return join(scratch.path, folder);
}

describe.skipIf(!needsGdal())("every kind of system against gdaltransform (PROJ)", () => {
  it.each(BOXES)("EPSG:$epsg", ({ epsg, box: [west, south, east, north], withinM }) => {
    const random = createSeededRandom(epsg);
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
      const projected = findCrs(epsg).project(lon, lat);
      expect(Math.hypot(projected[0] - x, projected[1] - y)).toBeLessThan(withinM);
      const back = findCrs(epsg).unproject(x, y);
      expect(Math.hypot(back[0] - lon, back[1] - lat)).toBeLessThan(1e-7);
    });
  });
});

describe.skipIf(!needsGdal())("systems that a file writes out in its keys, against gdaltransform (PROJ)", () => {
  it.each(WRITTEN_OUT)("$what", async ({ what, srs, box: [west, south, east, north] }) => {
    const random = createSeededRandom(what.length);
    const points = Array.from({ length: 60 }, (): [number, number] => [
      west + random() * (east - west),
      south + random() * (north - south),
    ]);
    const geographic = `+proj=longlat ${srs.match(/\+ellps=\w+/)}`;
    const input = points.map(([lon, lat]) => `${lon} ${lat}\n`).join("");
    const expected = gdal("gdaltransform", ["-s_srs", geographic, "-t_srs", srs, "-output_xy"], input)
      .trim()
      .split("\n")
      .map((line) => line.split(" ").map(Number) as [number, number]);
    const { files, refused } = await openCatalogue(rasterIn(what, srs, expected[0] as [number, number]));
    expect(refused).toEqual([]);
    const { project, unproject } = findCrs(files[0]?.crs as CrsId);
    points.forEach(([lon, lat], index) => {
      const [x, y] = expected[index] as [number, number];
      const projected = project(lon, lat);
      expect(Math.hypot(projected[0] - x, projected[1] - y)).toBeLessThan(1e-3);
      const back = unproject(x, y);
      expect(Math.hypot(back[0] - lon, back[1] - lat)).toBeLessThan(1e-7);
    });
  });

  it.each([
    [
      "an oblique Mercator",
      "+proj=omerc +lat_0=45 +lonc=9 +alpha=30 +ellps=WGS84",
      /ProjMethod \(3075\) is \d+, which is not supported/,
    ],
    ["feet", "+proj=tmerc +lon_0=9 +ellps=WGS84 +units=us-ft", /ProjLinearUnits \(3076\) is 9003/],
    ["another ellipsoid", "+proj=tmerc +lon_0=9 +ellps=clrk66", /\(\d+\) is .*which is not supported/],
    ["another datum", "+proj=utm +zone=32 +ellps=WGS84 +towgs84=100,0,0", /GeogTOWGS84 \(2062\) is 100/],
  ])("except %s", async (what, srs, reason) => {
    const { files, refused } = await openCatalogue(rasterIn(what, srs, [500_000, 1_000_000]));
    expect(files).toEqual([]);
    expect(refused[0]?.reason).toMatch(reason);
  });
});
