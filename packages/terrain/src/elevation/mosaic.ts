import { type Crs, findCrs, type GeodesicLine } from "@fellmark/geodesy";
import { selectElevationFiles, type TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import type { LonLatBox, TerrainFile } from "../catalogue/terrain-file.ts";
import type { ElevationKind } from "../catalogue/terrain-sets.ts";
import { selectFilesOfKind } from "../clutter/clutter-sources.ts";
import { sampleBilinear, sampleRowBilinear } from "../sample/bilinear.ts";
import { interpolateLine, projectLine } from "../sample/control-line.ts";
import { countNotKnown } from "../sample/count-not-known.ts";
import { groupFiles } from "../sample/grid-group.ts";
import { computeTurnDeg, type LoadedGroup, loadArea } from "../sample/load-area.ts";
import { sampleNearest } from "../sample/nearest.ts";
import { combineKinds } from "./read-window.ts";
import { subtractCanopy } from "./subtract-canopy.ts";

/** The data of a mosaic: plain, with its cells in shared memory, so that other threads can use it. */
export interface MosaicData {
  bbox: LonLatBox;
  /** The finest resolution in the area, metres; NaN where there is no raster. */
  stepM: number;
  kind: ElevationKind;
  filesUsed: TerrainFile[];
  /** Highest priority first. */
  groups: LoadedGroup[];
}

/** Ground heights of an area in the rasters' own grids, held in memory. */
export interface TerrainMosaic extends Omit<MosaicData, "groups"> {
  data: MosaicData;
  /** Bilinear height in the best raster that knows the place; NaN where none does and outside the area. */
  findHeightAmslM(lon: number, lat: number): number;
  /** Height of the cell that contains the point, without interpolation. */
  findNearestCellAmslM(lon: number, lat: number): number;
  /**
   * Writes the heights at equal steps along a line, both ends included, as `heightAmslM` gives them, into `out`, whose
   * length (2 or more) is the number of points; some 30 ns a point. Returns the number of points that are not known.
   */
  sampleHeights(line: GeodesicLine, out: Float64Array): number;
}

/**
 * Loads the heights of an area from the given sets. East may pass 180 degrees; places may be given on any turn of
 * longitude. With `canopy`, a set of canopy heights, these are subtracted from sets of kind "surface".
 * Throws InputError `terrain_set_unknown` or `terrain_set_kind`, TerrainError `terrain_too_fine` when the area holds too many cells.
 */
export async function openMosaic(
  catalogue: TerrainCatalogue,
  sets: readonly string[],
  bbox: LonLatBox,
  { canopy }: { canopy?: string } = {},
): Promise<TerrainMosaic> {
  const canopyFiles = canopy === undefined ? null : selectFilesOfKind(catalogue, canopy, "canopy", "canopy");
  const groups = await loadArea(groupFiles(selectElevationFiles(catalogue, sets), bbox), bbox, "shared");
  if (canopyFiles) for (const { group, cells } of groups) await subtractCanopy(group, cells, canopyFiles);
  const filesUsed = [...new Set(groups.flatMap(({ group }) => group.members.map(({ file }) => file)))];
  const stepM = filesUsed.length > 0 ? Math.min(...filesUsed.map((file) => file.resolutionM)) : Number.NaN;
  return createMosaic({ bbox, stepM, kind: combineKinds(filesUsed, canopy), filesUsed, groups });
}

/** Returns the mosaic of data that `openMosaic` loaded, here or in another thread. */
export function createMosaic(data: MosaicData): TerrainMosaic {
  const { groups, ...facts } = data;
  const loaded = groups.map((each) => ({ ...each, crs: findCrs(each.group.crs) }));
  let cols = new Float64Array(0);
  let rows = new Float64Array(0);

  function findFirstKnown(lon: number, lat: number, sample: (from: LoadedGroup, col: number, row: number) => number) {
    const turnedLon = lon + computeTurnDeg(lon, data.bbox);
    for (const each of loaded) {
      const [x, y] = each.crs.project(turnedLon, lat);
      const { x0, y0, stepX, stepY } = each.group;
      const height = sample(each, (x - x0) / stepX, (y0 - y) / stepY);
      if (!Number.isNaN(height)) return height;
    }
    return Number.NaN;
  }

  return {
    ...facts,
    data,
    findHeightAmslM: (lon, lat) => findFirstKnown(lon, lat, sampleGroupBilinear),
    findNearestCellAmslM: (lon, lat) => findFirstKnown(lon, lat, sampleGroupNearest),
    sampleHeights(line, out) {
      const points = out.length;
      if (cols.length < points) {
        cols = new Float64Array(2 * points);
        rows = new Float64Array(2 * points);
      }
      const positions = { cols: cols.subarray(0, points), rows: rows.subarray(0, points) };
      return sampleLineHeights(loaded, line, computeTurnDeg(line.nodeLon[0] as number, data.bbox), positions, out);
    },
  };
}

function sampleLineHeights(
  groups: readonly (LoadedGroup & { crs: Crs })[],
  line: GeodesicLine,
  turnDeg: number,
  { cols, rows }: { cols: Float64Array; rows: Float64Array },
  out: Float64Array,
): number {
  out.fill(Number.NaN);
  let notKnown = out.length;
  for (const { group, crs, cells } of groups) {
    if (notKnown === 0) break;
    interpolateLine(projectLine(group, crs, line, turnDeg), cols, rows);
    sampleRowBilinear(cells, group, { cols, rows }, out, 0);
    notKnown = countNotKnown(out);
  }
  return notKnown;
}

const sampleGroupBilinear = ({ cells, group }: LoadedGroup, col: number, row: number) =>
  sampleBilinear(cells, group, col, row);
const sampleGroupNearest = ({ cells }: LoadedGroup, col: number, row: number) => sampleNearest(cells, col, row);
