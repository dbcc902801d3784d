import type { EndClutterClass } from "@fellmark/propagation";

/** Meaning of a code of a land-cover raster. */
export interface LandCoverClass {
  name: string;
  kind: EndClutterClass;
  /**
   * Representative height, m. Trees 15, suburban 10, urban 15 and dense urban 20 are from ITU-R P.2108-1, table 3; any
   * other height is common practice, no source. Open land and water have 0: the 10 m of that table are a reference
   * height for antennas near scattered obstacles, while on a map such a cell is free.
   */
  heightM: number;
}

/** The classes of one product by code. */
export type Legend = Readonly<Record<number, LandCoverClass>>;

const toClass = (name: string, kind: EndClutterClass, heightM: number): LandCoverClass => ({ name, kind, heightM });
const noData = toClass("no data", "unknown", 0);
const open = (name: string) => toClass(name, "open", 0);
const water = (name: string) => toClass(name, "water", 0);
const shrub = (name: string) => toClass(name, "trees", 3);
const orchard = (name: string) => toClass(name, "trees", 5);
const trees = (name: string) => toClass(name, "trees", 15);
const suburban = (name: string) => toClass(name, "suburban", 10);
const urban = (name: string) => toClass(name, "urban", 15);
const denseUrban = (name: string) => toClass(name, "dense-urban", 20);

/** National Land Cover Database of the United States, releases of 2011 and after; codes from memory. */
const NLCD: Legend = {
  0: noData,
  11: water("open water"),
  12: open("perennial ice and snow"),
  21: open("developed, open space"),
  22: suburban("developed, low intensity"),
  23: suburban("developed, medium intensity"),
  24: urban("developed, high intensity"),
  31: open("barren land"),
  41: trees("deciduous forest"),
  42: trees("evergreen forest"),
  43: trees("mixed forest"),
  51: open("dwarf scrub"),
  52: shrub("shrub and scrub"),
  71: open("grassland"),
  72: open("sedge"),
  73: open("lichens"),
  74: open("moss"),
  81: open("pasture and hay"),
  82: open("cultivated crops"),
  90: trees("woody wetlands"),
  95: open("herbaceous wetlands"),
};

/** WorldCover of the European Space Agency, 10 m; codes from memory. */
const WORLD_COVER: Legend = {
  0: noData,
  10: trees("tree cover"),
  20: shrub("shrubland"),
  30: open("grassland"),
  40: open("cropland"),
  50: suburban("built-up"),
  60: open("bare or sparse vegetation"),
  70: open("snow and ice"),
  80: water("permanent water"),
  90: open("herbaceous wetland"),
  95: trees("mangroves"),
  100: open("moss and lichen"),
};

/** The 44 classes of CORINE Land Cover by their three digits, in order; codes from memory. */
const CORINE_CLASSES: readonly [number, LandCoverClass][] = [
  [111, denseUrban("continuous urban fabric")],
  [112, suburban("discontinuous urban fabric")],
  [121, urban("industrial or commercial units")],
  [122, open("roads and railways")],
  [123, suburban("ports")],
  [124, open("airports")],
  [131, open("mineral extraction")],
  [132, open("dumps")],
  [133, open("construction sites")],
  [141, trees("green urban areas")],
  [142, open("sport and leisure")],
  [211, open("arable land, not irrigated")],
  [212, open("irrigated land")],
  [213, open("rice fields")],
  [221, open("vineyards")],
  [222, orchard("fruit trees and berries")],
  [223, orchard("olive groves")],
  [231, open("pastures")],
  [241, open("annual with permanent crops")],
  [242, open("complex cultivation")],
  [243, open("agriculture with natural vegetation")],
  [244, orchard("agro-forestry")],
  [311, trees("broad-leaved forest")],
  [312, trees("coniferous forest")],
  [313, trees("mixed forest")],
  [321, open("natural grassland")],
  [322, open("moors and heath")],
  [323, shrub("sclerophyllous vegetation")],
  [324, orchard("transitional woodland and shrub")],
  [331, open("beaches, dunes, sands")],
  [332, open("bare rocks")],
  [333, open("sparse vegetation")],
  [334, open("burnt areas")],
  [335, open("glaciers and perpetual snow")],
  [411, open("inland marshes")],
  [412, open("peat bogs")],
  [421, open("salt marshes")],
  [422, open("salines")],
  [423, open("intertidal flats")],
  [511, water("water courses")],
  [512, water("water bodies")],
  [521, water("coastal lagoons")],
  [522, water("estuaries")],
  [523, water("sea and ocean")],
];

/** Rasters of CORINE hold the three digits, or the number of the class in the list, 1 to 44, and 48 for no data. */
const CORINE: Legend = {
  ...Object.fromEntries(CORINE_CLASSES),
  ...Object.fromEntries(CORINE_CLASSES.map(([, each], index) => [index + 1, each])),
  48: noData,
};

const FOREST_TYPES = [
  "evergreen needle leaf",
  "evergreen broad leaf",
  "deciduous needle leaf",
  "deciduous broad leaf",
  "mixed",
  "unknown type",
];

/** Copernicus Global Land Cover, 100 m; codes from memory. */
const LC100: Legend = {
  0: noData,
  20: shrub("shrubs"),
  30: open("herbaceous vegetation"),
  40: open("cropland"),
  50: suburban("built-up"),
  60: open("bare or sparse vegetation"),
  70: open("snow and ice"),
  80: water("permanent water"),
  90: open("herbaceous wetland"),
  100: open("moss and lichen"),
  ...Object.fromEntries(FOREST_TYPES.map((type, index) => [111 + index, trees(`closed forest, ${type}`)])),
  ...Object.fromEntries(FOREST_TYPES.map((type, index) => [121 + index, trees(`open forest, ${type}`)])),
  200: water("sea"),
};

/** The legends of well-known public land-cover products, by the name that terrain.json uses. */
export const LEGENDS: Readonly<Record<string, Legend>> = {
  "nlcd-2011": NLCD,
  worldcover: WORLD_COVER,
  corine: CORINE,
  lc100: LC100,
};
