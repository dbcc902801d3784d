import { type ClutterTable, findKind, KIND, LEAST_CLUTTER_M, NO_ROW } from "./clutter-table.ts";

/** Values of the sources at a list of places, NaN where not known; null for a source that is not given. */
export interface SourceValues {
  buildings: Float32Array | null;
  canopy: Float32Array | null;
  codes: Float32Array | null;
  table: ClutterTable | null;
}

/** Least height that counts, m: a difference of two elevation models may be a little negative by noise; lower is no data. */
const LOWEST_M = -2;

/** Greatest heights that count, m (a redwood of 116 m, a tower of 828 m; from memory, unverified); higher is no data. */
const HIGHEST_TREE_M = 120;
const HIGHEST_BUILDING_M = 900;

/** Between the representative heights of suburban, urban and dense urban of ITU-R P.2108-1, table 3: 10, 15, 20 m. */
const URBAN_FROM_M = 12.5;
const DENSE_URBAN_FROM_M = 17.5;

/**
 * Decides the clutter of each place: writes its height, m, NaN where not known, and its kind.
 * Buildings come before canopy, canopy before land cover. Heights overrule codes: where the canopy is known to be low, a
 * code of trees means open land, and likewise for buildings. A place is open only where every given height source knows
 * it to be low, or where land cover says so. Returns the number of places that are not known.
 * @param isMeasured receives 1 where a raster of heights tells it, 0 where only a class of land cover does or nothing.
 */
export function resolveClutter(
  sources: SourceValues,
  heightM: Float32Array | Float64Array,
  kind: Uint8Array,
  isMeasured?: Uint8Array,
): number {
  const { buildings, canopy, codes, table } = sources;
  let notKnown = 0;
  for (let at = 0; at < kind.length; at++) {
    const buildingM = buildings ? toBuildingHeightM(buildings[at] as number) : Number.NaN;
    const treeM = canopy ? toTreeHeightM(canopy[at] as number) : Number.NaN;
    let decided: number = KIND.unknown;
    let height = Number.NaN;
    let measured = 1;
    if (buildingM >= LEAST_CLUTTER_M) {
      decided = chooseBuildingKind(buildingM);
      height = buildingM;
    } else if (treeM >= LEAST_CLUTTER_M) {
      decided = KIND.trees;
      height = treeM;
    } else {
      const code = codes && table ? (codes[at] as number) : Number.NaN;
      const row = table ? findKind(table, code) : NO_ROW;
      const isCleared = row === KIND.trees ? !Number.isNaN(treeM) : isBuilt(row) && !Number.isNaN(buildingM);
      if (row !== NO_ROW && row !== KIND.unknown && !isCleared) {
        decided = row;
        measured = 0;
        height = (table as ClutterTable).heightM[code] as number;
      } else if (isCleared || isKnownLow(buildings, buildingM, canopy, treeM)) {
        decided = KIND.open;
        height = 0;
      }
    }
    if (decided === KIND.unknown) notKnown++;
    if (isMeasured) isMeasured[at] = decided === KIND.unknown ? 0 : measured;
    kind[at] = decided;
    heightM[at] = height;
  }
  return notKnown;
}

/** Height of trees, m: 0 for noise around the ground, NaN for a value that is not the height of a tree. */
export function toTreeHeightM(value: number): number {
  return value >= LOWEST_M && value <= HIGHEST_TREE_M ? Math.max(value, 0) : Number.NaN;
}

function toBuildingHeightM(value: number): number {
  return value >= LOWEST_M && value <= HIGHEST_BUILDING_M ? Math.max(value, 0) : Number.NaN;
}

function chooseBuildingKind(heightM: number): number {
  if (heightM < URBAN_FROM_M) return KIND.suburban;
  return heightM < DENSE_URBAN_FROM_M ? KIND.urban : KIND["dense-urban"];
}

function isBuilt(kind: number): boolean {
  return kind === KIND.suburban || kind === KIND.urban || kind === KIND["dense-urban"];
}

/** True where there is a height source and every height source knows the place. */
function isKnownLow(buildings: unknown, buildingM: number, canopy: unknown, treeM: number): boolean {
  if (!buildings && !canopy) return false;
  return (!buildings || !Number.isNaN(buildingM)) && (!canopy || !Number.isNaN(treeM));
}
