import { crsOf } from "@fellmark/geodesy";
import { FellmarkError, TerrainError } from "@fellmark/units";
import type { TiffDirectory } from "./tiff-directory.ts";

/** Keys and codes by their names in OGC GeoTIFF 1.1 (OGC 19-008r4), annex B and section 7. */
const GEO_KEY_DIRECTORY = 34735;
const MODEL_TYPE = 1024;
const RASTER_TYPE = 1025;
const GEODETIC_CRS = 2048;
const ANGULAR_UNITS = 2054;
const PROJECTED_CRS = 3072;
const LINEAR_UNITS = 3076;
const VERTICAL_CRS = 4096;
const VERTICAL_UNITS = 4099;

const DEGREE = 9102;
const METRE = 9001;
const US_SURVEY_FOOT = 9003;
const USER_DEFINED = 32767;

/** Height systems in feet that a file may name without naming the unit: NAVD88 in US survey and in plain feet. */
const VERTICAL_CRS_IN_FEET = [6360, 8228];

/** The one system of the allow-list that is not in metres across. */
const IN_US_SURVEY_FEET = [5646];

export interface GeoReference {
  epsg: number;
  pixelIs: "area" | "point";
}

/** The reference system that the geo keys name. Throws TerrainError `raster_refused` for what is not supported. */
export function readGeoKeys(directory: TiffDirectory): GeoReference {
  const keys = shortKeys(directory);
  const epsg = horizontalCrs(keys);
  refuseFeetUpwards(keys);
  const rasterType = keys.get(RASTER_TYPE) ?? 1;
  if (rasterType !== 1 && rasterType !== 2) throw refused(`raster type ${rasterType} is unknown`);
  return { epsg, pixelIs: rasterType === 2 ? "point" : "area" };
}

/** The keys whose value stands in the key directory itself. */
function shortKeys(directory: TiffDirectory): Map<number, number> {
  if (!directory.has(GEO_KEY_DIRECTORY)) throw refused("no coordinate reference system");
  const table = directory.numbers(GEO_KEY_DIRECTORY, 4096);
  const keys = new Map<number, number>();
  for (let at = 4; at + 3 < table.length; at += 4) {
    const [key, place, , value] = table.subarray(at, at + 4) as unknown as [number, number, number, number];
    if (place === 0) keys.set(key, value);
  }
  return keys;
}

function horizontalCrs(keys: Map<number, number>): number {
  const model = keys.get(MODEL_TYPE);
  if (model !== 1 && model !== 2) throw refused("the coordinate reference system is neither projected nor geographic");
  const epsg = keys.get(model === 1 ? PROJECTED_CRS : GEODETIC_CRS) ?? USER_DEFINED;
  if (epsg === USER_DEFINED) throw refused("the coordinate reference system is user-defined, without an EPSG code");
  const { geographic } = supported(epsg);
  if (geographic !== (model === 2)) throw refused(`EPSG:${epsg} does not fit the model type ${model}`);
  const expected = geographic ? DEGREE : IN_US_SURVEY_FEET.includes(epsg) ? US_SURVEY_FOOT : METRE;
  const unit = keys.get(geographic ? ANGULAR_UNITS : LINEAR_UNITS) ?? expected;
  if (unit !== expected) throw refused(`unit ${unit} is not the one of EPSG:${epsg}`);
  return epsg;
}

function supported(epsg: number): { geographic: boolean } {
  try {
    return crsOf(epsg);
  } catch (error) {
    if (error instanceof FellmarkError) throw refused(error.message);
    throw error;
  }
}

function refuseFeetUpwards(keys: Map<number, number>): void {
  const unit = keys.get(VERTICAL_UNITS) ?? METRE;
  const inFeet = VERTICAL_CRS_IN_FEET.includes(keys.get(VERTICAL_CRS) ?? 0);
  if (unit !== METRE || inFeet) throw refused(`heights are not in metres (vertical unit ${inFeet ? "feet" : unit})`);
}

function refused(reason: string): TerrainError {
  return new TerrainError("raster_refused", reason);
}
