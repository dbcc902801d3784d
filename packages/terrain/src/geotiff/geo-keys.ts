import { type CrsId, findCrs, formatProjection } from "@fellmark/geodesy";
import { FellmarkError } from "@fellmark/units";
import { refuseRaster } from "../raster/refuse-raster.ts";
import { findKeyCode, findKeyValue, type GeoKeys, refuseKey } from "./geo-key-list.ts";
import { readEllipsoid, readProjection } from "./projection-keys.ts";

const DEGREE = 9102;
const METRE = 9001;
const US_SURVEY_FOOT = 9003;

const WGS84 = 4326;

/** Height systems in feet that a file may name without a unit: NAVD88 in US survey feet and in international feet. */
const VERTICAL_CRS_IN_FEET = [6360, 8228];

/** The supported systems whose coordinates are not in metres. */
const IN_US_SURVEY_FEET = [5646];

export interface GeoReference {
  crs: CrsId;
  pixelIs: "area" | "point";
}

/**
 * Returns the reference system that the geo keys name by its code or describe by parameters.
 * Throws TerrainError `raster_refused` where it is not supported.
 */
export function readGeoReference(keys: GeoKeys): GeoReference {
  const crs = findHorizontalCrs(keys);
  refuseFeetUpwards(keys);
  const rasterType = findKeyValue(keys, "GTRasterType") ?? 1;
  if (rasterType !== 1 && rasterType !== 2) throw refuseRaster(`raster type ${rasterType} is unknown`);
  return { crs, pixelIs: rasterType === 2 ? "point" : "area" };
}

function findHorizontalCrs(keys: GeoKeys): CrsId {
  const model = findKeyValue(keys, "GTModelType");
  if (model !== 1 && model !== 2)
    throw refuseRaster("the coordinate reference system is neither projected nor geographic");
  const epsg = findKeyCode(keys, model === 1 ? "ProjectedCRS" : "GeodeticCRS");
  if (epsg === undefined) return model === 1 ? formatProjection(readProjection(keys)) : requireWgs84Degrees(keys);
  const { geographic } = findSupportedCrs(epsg);
  if (geographic !== (model === 2)) throw refuseRaster(`EPSG:${epsg} does not fit the model type ${model}`);
  const expected = geographic ? DEGREE : IN_US_SURVEY_FEET.includes(epsg) ? US_SURVEY_FOOT : METRE;
  const unit = findKeyValue(keys, geographic ? "GeogAngularUnits" : "ProjLinearUnits") ?? expected;
  if (unit !== expected) throw refuseRaster(`unit ${unit} is not the one of EPSG:${epsg}`);
  return epsg;
}

/** Longitude and latitude on an ellipsoid that the keys describe. */
function requireWgs84Degrees(keys: GeoKeys): CrsId {
  if ((findKeyValue(keys, "GeogAngularUnits") ?? DEGREE) !== DEGREE) throw refuseKey(keys, "GeogAngularUnits");
  readEllipsoid(keys);
  return WGS84;
}

function findSupportedCrs(epsg: number): { geographic: boolean } {
  try {
    return findCrs(epsg);
  } catch (error) {
    if (error instanceof FellmarkError) throw refuseRaster(error.message);
    throw error;
  }
}

function refuseFeetUpwards(keys: GeoKeys): void {
  const unit = findKeyValue(keys, "VerticalUnits") ?? METRE;
  const inFeet = VERTICAL_CRS_IN_FEET.includes(findKeyValue(keys, "Vertical") ?? 0);
  if (unit !== METRE || inFeet)
    throw refuseRaster(`heights are not in metres (vertical unit ${inFeet ? "feet" : unit})`);
}
