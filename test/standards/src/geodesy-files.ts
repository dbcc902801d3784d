import { findCrs, findGeodesic, findGeodesicPoint } from "@fellmark/geodesy";
import { normaliseSignedDeg } from "@fellmark/units";
import { csvRows } from "./data-files.ts";
import type { FileFormat } from "./format.ts";

/** Geodesics with both ends given: distance and azimuth from the inverse problem. */
export const inverseGeodesicFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("lat1,lon1,azi1,lat2,lon2,azi2,s12_m,a12_deg"),
  *check(file) {
    for (const [i, row] of csvRows(file).entries()) {
      const from = { lon: Number(row.lon1), lat: Number(row.lat1) };
      const line = findGeodesic(from, { lon: Number(row.lon2), lat: Number(row.lat2) });
      const id = `row ${i + 1}`;
      const expected = Number(row.s12_m);
      yield { file: file.path, quantity: "distance, m", id, expected, got: line.distanceM, tolerance: 1e-6 };
      const azimuth = { expected: Number(row.azi1), got: normaliseSignedDeg(line.azimuthDeg) };
      yield { file: file.path, quantity: "azimuth, deg", id, ...azimuth, tolerance: 1e-9 };
    }
  },
};

/** Radials from a point: where an azimuth and a distance lead. */
export const directGeodesicFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("lat1,lon1,azi1,s12_m,lat2,lon2"),
  *check(file) {
    for (const [i, row] of csvRows(file).entries()) {
      const from = { lon: Number(row.lon1), lat: Number(row.lat1) };
      const end = findGeodesicPoint(from, Number(row.azi1), Number(row.s12_m));
      const place = { file: file.path, id: `row ${i + 1}`, tolerance: 1e-11 };
      yield { ...place, quantity: "latitude, deg", expected: Number(row.lat2), got: end.lat };
      yield { ...place, quantity: "longitude, deg", expected: Number(row.lon2), got: normaliseSignedDeg(end.lon) };
    }
  },
};

/** Points in UTM zones, published to 0.1 mm. */
export const utmFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("lat,lon,epsg,easting_m_cs2cs"),
  *check(file) {
    for (const row of csvRows(file)) {
      const [x, y] = findCrs(Number(row.epsg)).project(Number(row.lon), Number(row.lat));
      const place = { file: file.path, id: `${row.lon},${row.lat} in ${row.epsg}`, tolerance: 1e-4 };
      yield { ...place, quantity: "easting, m", expected: Number(row.easting_m_cs2cs), got: x };
      yield { ...place, quantity: "northing, m", expected: Number(row.northing_m_cs2cs), got: y };
    }
  },
};
