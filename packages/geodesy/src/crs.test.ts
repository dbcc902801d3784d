import { readFileSync } from "node:fs";
import { join } from "node:path";
import { needsShared, sharedDir } from "@fellmark/testkit";
import { FellmarkError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { findCrs, formatCrsName, formatProjection } from "./index.ts";

describe.skipIf(!needsShared())("UTM against cs2cs and GeoConvert (../shared/standards/WGS84)", () => {
  const path = join(sharedDir, "standards/WGS84/utm_cs2cs_and_GeoConvert.csv");
  const rows = needsShared() ? readFileSync(path, "utf8").trim().split("\n").slice(1) : [];

  it.each(rows)("%s", (row) => {
    const [lat, lon, epsg, easting, northing] = row.split(",").map(Number) as [number, number, number, number, number];
    const [x, y] = findCrs(epsg).project(lon, lat);
    expect(Math.abs(x - easting)).toBeLessThan(1e-4);
    expect(Math.abs(y - northing)).toBeLessThan(1e-4);
  });
});

describe("published points", () => {
  it.each([
    // EPSG Guidance Note 7-2 (IOGP 373-7-2), 3.5.1: 24°22'54.433"N 100°20'00.000"W.
    {
      epsg: 3857,
      lon: -100 - 20 / 60,
      lat: 24 + 22 / 60 + 54.433 / 3600,
      x: -11_169_055.58,
      y: 2_800_000,
      within: 0.01,
    },
    // 32145 and 5646 at their origin: false easting 500 000 m, false northing 0 (EPSG data set, projection 14430).
    { epsg: 32145, lon: -72.5, lat: 42.5, x: 500_000, y: 0, within: 1e-6 },
    { epsg: 5646, lon: -72.5, lat: 42.5, x: 1_640_416.6667, y: 0, within: 1e-4 },
    // PROJ 9.1 (GDAL 3.6.2 gdaltransform) with the same seven parameters.
    { epsg: 27700, lon: -1, lat: 53, x: 467_208.6564, y: 345_209.571, within: 0.002 },
    // At its origin (EPSG data set, projection 5068); elsewhere against PROJ in test/terrain.
    { epsg: 5070, lon: -96, lat: 23, x: 0, y: 0, within: 1e-6 },
    // EPSG Guidance Note 7-2, 3.3.1: LAEA Europe at 50N 5E is 3962799.45 E, 2999718.85 N.
    { epsg: 3035, lon: 5, lat: 50, x: 3_962_799.45, y: 2_999_718.85, within: 0.01 },
    // On a central meridian at the equator: false easting and northing of UTM.
    { epsg: 25831, lon: 3, lat: 0, x: 500_000, y: 0, within: 1e-6 },
    { epsg: 26919, lon: -69, lat: 0, x: 500_000, y: 0, within: 1e-6 },
    { epsg: 32719, lon: -69, lat: 0, x: 500_000, y: 10_000_000, within: 1e-6 },
  ])("EPSG:$epsg at $lon, $lat", ({ epsg, lon, lat, x, y, within }) => {
    const crs = findCrs(epsg);
    const projected = crs.project(lon, lat);
    expect(Math.hypot(projected[0] - x, projected[1] - y)).toBeLessThan(within);
    const back = crs.unproject(...projected);
    expect(back[0]).toBeCloseTo(lon, 7);
    expect(back[1]).toBeCloseTo(lat, 7);
  });

  it.each([4326, 4269, 4258])("EPSG:%i is longitude and latitude as they are", (epsg) => {
    expect(findCrs(epsg).project(-181.5, 44.25)).toEqual([-181.5, 44.25]);
    expect(findCrs(epsg).geographic).toBe(true);
  });
});

describe("the allow-list", () => {
  it.each([0, 1, 32600, 32661, 25827, 25839, 26924, 2154, 32767, 4979, 32632.5, NaN])(
    "refuses %d by its number",
    (epsg) => {
      expect(() => findCrs(epsg)).toThrow(FellmarkError);
      expect(() => findCrs(epsg)).toThrow(`EPSG:${epsg} `);
    },
  );

  it("holds every UTM zone it names", () => {
    const zones = (first: number, last: number) =>
      Array.from({ length: last - first + 1 }, (_, index) => first + index);
    const all = [...zones(32601, 32660), ...zones(32701, 32760), ...zones(25828, 25838), ...zones(26901, 26923)];
    for (const epsg of all) {
      const meridian = 6 * (epsg % 100) - 183;
      expect(findCrs(epsg).project(meridian, 0)[0]).toBeCloseTo(500_000, 6);
    }
  });
});

describe("nonsense gives NaN, never a finite number", () => {
  it.each([
    { what: "UTM far from its meridian", epsg: 32632, lon: 102, lat: 45 },
    { what: "UTM at the pole", epsg: 32632, lon: 9, lat: 90 },
    { what: "web Mercator at the pole", epsg: 3857, lon: 9, lat: 90 },
    { what: "a latitude of 95", epsg: 4326, lon: 9, lat: 95 },
    { what: "the British grid in Spain", epsg: 27700, lon: -3, lat: 43 },
    { what: "the Vermont grid in Oregon", epsg: 32145, lon: -121, lat: 44 },
    { what: "no longitude", epsg: 32632, lon: Number.NaN, lat: 45 },
    { what: "no latitude", epsg: 4326, lon: 9, lat: Number.NaN },
  ])("$what", ({ epsg, lon, lat }) => {
    expect(findCrs(epsg).project(lon, lat)).toEqual([Number.NaN, Number.NaN]);
  });

  it("also backwards", () => {
    expect(findCrs(32632).unproject(Number.NaN, 0)).toEqual([Number.NaN, Number.NaN]);
    expect(findCrs(32632).unproject(5e7, 5e7)).toEqual([Number.NaN, Number.NaN]);
    expect(findCrs(3857).unproject(0, 1e9)).toEqual([Number.NaN, Number.NaN]);
  });
});

it("continues over the antimeridian", () => {
  expect(findCrs(32601).project(181, 10)[0]).toBeCloseTo(findCrs(32601).project(-179, 10)[0], 6);
  const { project, periodX } = findCrs(3857);
  expect(project(181, 10)[0] - project(-179, 10)[0]).toBeCloseTo(periodX as number, 6);
});

describe("a projection in words", () => {
  const utm12 = {
    proj: "tmerc",
    ellps: "GRS80",
    originLatDeg: 0,
    originLonDeg: -111,
    parallelsDeg: [],
    scale: 0.9996,
    falseEastingM: 500_000,
    falseNorthingM: 0,
  } as const;
  const text = "+proj=tmerc +lat_0=0 +lon_0=-111 +k_0=0.9996 +x_0=500000 +y_0=0 +ellps=GRS80 +units=m";

  it("has one text, which names it", () => {
    expect(formatProjection(utm12)).toBe(text);
    expect(formatCrsName(text)).toBe(text);
    expect(formatCrsName(26912)).toBe("EPSG:26912");
    expect(findCrs(text)).toBe(findCrs(formatProjection({ ...utm12 })));
  });

  it("is the system of the same parameters", () => {
    const [x, y] = findCrs(26912).project(-113.0448, 37.323);
    expect(findCrs(text).project(-113.0448, 37.323)).toEqual([x, y]);
  });

  it("ends where it is no longer used", () => {
    expect(findCrs(text).project(-150, 37)).toEqual([Number.NaN, Number.NaN]);
    const polar = formatProjection({ ...utm12, proj: "stere", originLatDeg: 90, parallelsDeg: [70], scale: 1 });
    expect(findCrs(polar).project(170, 65)[0]).not.toBeNaN();
    expect(findCrs(polar).project(170, 30)[0]).toBeNaN();
    const albers = formatProjection({ ...utm12, proj: "aea", originLatDeg: 23, parallelsDeg: [29.5, 45.5] });
    expect(findCrs(albers).project(-111, 84)[0]).not.toBeNaN();
    expect(findCrs(albers).project(-111, -40)[0]).toBeNaN();
  });
});
