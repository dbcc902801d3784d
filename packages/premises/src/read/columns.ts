import { type FieldProblem, InputError } from "@fellmark/units";

/** Role of a column. */
export type Role =
  | "id"
  | "address"
  | "house"
  | "street"
  | "unit"
  | "town"
  | "region"
  | "postcode"
  | "lon"
  | "lat"
  | "quality"
  | "premises"
  | "height";

/** Usual names of columns by role: lower case, letters and digits only. */
const USUAL_NAMES: Readonly<Record<Role, readonly string[]>> = {
  id: ["id", "leadid", "locationid", "addressid", "objectid", "uuid", "ref", "reference", "fid", "gid", "featureid"],
  address: ["address", "fulladdress", "addr", "addressline", "addressline1", "streetaddress", "adresse", "direccion"],
  house: [
    "house",
    "housenumber",
    "housenum",
    "addrhousenumber",
    "streetnumber",
    "addressnumber",
    "houseno",
    "streetno",
    "civicnumber",
    "number",
    "no",
    "nr",
    "hausnummer",
  ],
  street: ["street", "streetname", "addrstreet", "road", "roadname", "strasse", "rue", "calle"],
  unit: ["unit", "apt", "apartment", "suite", "flat", "addrunit"],
  town: ["town", "city", "municipality", "village", "locality", "place", "addrcity", "ort", "ville", "ciudad"],
  region: ["state", "region", "county", "province", "addrstate"],
  postcode: ["postcode", "zip", "zipcode", "postalcode", "addrpostcode", "plz", "codepostal"],
  lon: ["geometrylon", "lon", "lng", "long", "longitude", "x", "easting", "pointx", "coordx"],
  lat: ["geometrylat", "lat", "latitude", "y", "northing", "pointy", "coordy"],
  quality: ["quality", "pointquality", "precision", "accuracy", "locationtype", "matchtype"],
  premises: ["premises", "premisesid", "premiseid"],
  height: ["height", "heightagl", "heightaglm", "heightm", "mountheight"],
};

export const ROLES = Object.keys(USUAL_NAMES) as Role[];

/** Name of the column by role. */
export type ColumnMap = Partial<Record<Role, string>>;

export function isRole(name: string): name is Role {
  return Object.hasOwn(USUAL_NAMES, name);
}

/**
 * Returns the named columns, in any case of letters, and for every other wanted role the column with a usual name.
 * Throws InputError at /map/ROLE for a named column that the table lacks.
 */
export function findColumns(columns: readonly string[], named: ColumnMap, wanted: readonly Role[]): ColumnMap {
  const problems: FieldProblem[] = [];
  const found: ColumnMap = {};
  for (const role of wanted) {
    const name = named[role];
    if (name === undefined) continue;
    const column =
      columns.find((each) => each === name) ?? columns.find((each) => simplifyName(each) === simplifyName(name));
    if (column !== undefined) found[role] = column;
    else
      problems.push({
        pointer: `/map/${role}`,
        detail: `there is no column ${JSON.stringify(name.slice(0, 80))}`,
        limit: listNames(columns),
      });
  }
  if (problems.length > 0) throw new InputError(problems);
  const free = columns.filter((column) => !Object.values(found).includes(column));
  for (const role of wanted) {
    const usual = USUAL_NAMES[role].map((name) => free.find((column) => simplifyName(column) === name)).find(Boolean);
    if (found[role] === undefined && usual !== undefined) found[role] = usual;
  }
  return found;
}

/** Returns the names of columns for an error, cut to a bounded number. */
export function listNames(columns: readonly string[]): string {
  const names = columns.slice(0, 30).map((name) => name.slice(0, 40));
  return `the columns are: ${names.join(", ")}${columns.length > 30 ? ", …" : ""}`;
}

function simplifyName(column: string): string {
  return column.toLowerCase().replace(/[^a-z0-9]/g, "");
}
