import { TerrainError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { createMemorySource } from "../raster/byte-source.ts";
import { makeGeoTiff, type TiffField } from "../testing/tiff-maker.ts";
import { KEY, type KeyName, USER_DEFINED } from "./geo-key-list.ts";
import { readTiffHeader } from "./tiff-header.ts";

type Keys = Partial<Record<KeyName, number | number[]>>;

/** The fields of a key directory; the keys whose values are codes stand in it, the others among the doubles. */
function keyFields(keys: Keys): TiffField[] {
  const doubles: number[] = [];
  const rows = Object.entries(keys).flatMap(([name, value]) => {
    const key = KEY[name as KeyName];
    const isCode = key < 2057 || (key > 2062 && key < 3077) || key > 3095;
    if (isCode) return [key, 0, 1, value as number];
    const values = [value].flat();
    doubles.push(...values);
    return [key, 34736, values.length, doubles.length - values.length];
  });
  return [
    { tag: 34735, type: 3, values: [1, 1, 0, rows.length / 4, ...rows] },
    { tag: 34736, type: 12, values: doubles.length > 0 ? doubles : [0] },
  ];
}

const crsOfKeys = async (keys: Keys) => {
  const bytes = makeGeoTiff({
    epsg: 0,
    x: 500_000,
    y: 4_000_000,
    step: 30,
    widthPx: 16,
    heightPx: 16,
    value: () => 0,
    fields: keyFields(keys),
  });
  return (await readTiffHeader(createMemorySource(bytes))).grid.crs;
};

const GRS80 = { GeodeticCRS: USER_DEFINED, EllipsoidSemiMajorAxis: 6_378_137, EllipsoidInvFlattening: 298.257222101 };
const WRITTEN = { GTModelType: 1, ...GRS80, ProjectedCRS: USER_DEFINED, Projection: USER_DEFINED };
const TM = { ...WRITTEN, ProjMethod: 1, ProjNatOriginLong: -75, ProjNatOriginLat: 38, ProjScaleAtNatOrigin: 0.9999 };
const CONE = { ...WRITTEN, ProjMethod: 11, ProjStdParallel1: 29.5, ProjStdParallel2: 45.5 };

describe("a system written out in keys", () => {
  it.each<[string, Keys, string]>([
    [
      "a UTM zone by the code of its projection",
      { ...WRITTEN, Projection: 16_012 },
      "+proj=tmerc +lat_0=0 +lon_0=-111 +k_0=0.9996 +x_0=500000 +y_0=0 +ellps=GRS80 +units=m",
    ],
    [
      "a UTM zone south",
      { ...WRITTEN, Projection: 16_160, GeodeticCRS: 4326 },
      "+proj=tmerc +lat_0=0 +lon_0=177 +k_0=0.9996 +x_0=500000 +y_0=10000000 +ellps=WGS84 +units=m",
    ],
    ["a transverse Mercator", TM, "+proj=tmerc +lat_0=38 +lon_0=-75 +k_0=0.9999 +x_0=0 +y_0=0 +ellps=GRS80 +units=m"],
    [
      "Albers by its false origin, on NAD83",
      { ...CONE, GeodeticCRS: 4269, ProjFalseOriginLong: -96, ProjFalseOriginLat: 23, ProjFalseOriginEasting: 10 },
      "+proj=aea +lat_0=23 +lon_0=-96 +lat_1=29.5 +lat_2=45.5 +k_0=1 +x_0=10 +y_0=0 +ellps=GRS80 +units=m",
    ],
    [
      "Albers by its centre, on an ellipsoid by its code",
      {
        GeodeticDatum: 6326,
        ...CONE,
        GeodeticCRS: USER_DEFINED,
        ProjCenterLong: -96,
        ProjCenterLat: 23,
      },
      "+proj=aea +lat_0=23 +lon_0=-96 +lat_1=29.5 +lat_2=45.5 +k_0=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m",
    ],
    [
      "a polar one, the ellipsoid by its minor axis",
      {
        GTModelType: 1,
        EllipsoidSemiMajorAxis: 6_378_137,
        EllipsoidSemiMinorAxis: 6_356_752.3142,
        ProjMethod: 15,
        ProjNatOriginLat: -71,
        ProjStraightVertPoleLong: 0,
      },
      "+proj=stere +lat_0=-90 +lon_0=0 +lat_ts=-71 +k_0=1 +x_0=0 +y_0=0 +ellps=GRS80 +units=m",
    ],
  ])("%s", async (_what, keys, text) => {
    expect(await crsOfKeys(keys)).toBe(text);
  });

  it("of longitude and latitude is EPSG:4326, as the datums are taken as one", async () => {
    expect(await crsOfKeys({ GTModelType: 2, ...GRS80, GeogAngularUnits: 9102 })).toBe(4326);
  });

  it.each<[string, Keys, RegExp]>([
    ["no method", WRITTEN, /user-defined, and ProjMethod \(3075\) is missing/],
    ["another method", { ...TM, ProjMethod: 16 }, /ProjMethod \(3075\) is 16, which is not supported/],
    ["a projection of another list", { ...WRITTEN, Projection: 14_430 }, /Projection \(3074\) is 14430/],
    ["a zone that is not there", { ...WRITTEN, Projection: 16_061 }, /Projection \(3074\) is 16061/],
    ["feet", { ...TM, ProjLinearUnits: 9003 }, /ProjLinearUnits \(3076\) is 9003/],
    [
      "a unit of its own",
      { ...TM, ProjLinearUnits: USER_DEFINED, ProjLinearUnitSize: 0.3 },
      /UnitSize \(3077\) is 0.3/,
    ],
    ["NAD27", { ...TM, GeodeticCRS: 4267 }, /GeodeticCRS \(2048\) is 4267/],
    ["another datum", { ...TM, GeodeticDatum: 6284 }, /GeodeticDatum \(2050\) is 6284/],
    ["Clarke 1866", { ...TM, Ellipsoid: 7008 }, /Ellipsoid \(2056\) is 7008/],
    ["another major axis", { ...TM, EllipsoidSemiMajorAxis: 6_378_206.4 }, /SemiMajorAxis \(2057\) is 6378206.4/],
    ["another flattening", { ...TM, EllipsoidInvFlattening: 294.98 }, /InvFlattening \(2059\) is 294.98/],
    ["no ellipsoid", { GTModelType: 1, ProjMethod: 1 }, /EllipsoidSemiMajorAxis \(2057\) is missing/],
    ["Paris", { ...TM, PrimeMeridian: 8903 }, /PrimeMeridian \(2051\) is 8903/],
    ["a meridian of its own", { ...TM, PrimeMeridianLongitude: 2.3 }, /PrimeMeridianLongitude \(2061\) is 2.3/],
    ["a shift", { ...TM, GeogTOWGS84: [0, 0, 5] }, /GeogTOWGS84 \(2062\) is 0 0 5/],
    [
      "no central meridian",
      { ...WRITTEN, ProjMethod: 1, ProjNatOriginLat: 0 },
      /ProjNatOriginLong \(3080\) is missing/,
    ],
    ["a latitude of 95", { ...TM, ProjNatOriginLat: 95 }, /ProjNatOriginLat \(3081\) is 95/],
    ["no number", { ...TM, ProjFalseEasting: Number.NaN }, /ProjFalseEasting \(3082\) is NaN/],
    ["a scale of 0", { ...TM, ProjScaleAtNatOrigin: 0 }, /ProjScaleAtNatOrigin \(3092\) is 0/],
    [
      "a cylinder for a cone",
      { ...CONE, ProjStdParallel2: -29.5, ProjNatOriginLong: 0, ProjNatOriginLat: 0 },
      /ProjStdParallel2 \(3079\) is -29.5/,
    ],
    ["grads", { GTModelType: 2, ...GRS80, GeogAngularUnits: 9105 }, /GeogAngularUnits \(2054\) is 9105/],
  ])("is refused by its key: %s", async (_what, keys, reason) => {
    await expect(crsOfKeys(keys)).rejects.toBeInstanceOf(TerrainError);
    await expect(crsOfKeys(keys)).rejects.toThrow(reason);
  });

  it("may refer to doubles that are not there", async () => {
    const fields: TiffField[] = [{ tag: 34735, type: 3, values: [1, 1, 0, 2, 1024, 0, 1, 1, 2057, 34736, 9, 65_000] }];
    const bytes = makeGeoTiff({ epsg: 0, x: 0, y: 0, step: 1, widthPx: 16, heightPx: 16, value: () => 0, fields });
    await expect(readTiffHeader(createMemorySource(bytes))).rejects.toThrow(/geoKey .GeogSemiMajorAxisGeoKey/);
  });
});
