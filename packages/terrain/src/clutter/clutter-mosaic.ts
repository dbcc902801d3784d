import { type Crs, findCrs, type GeodesicLine } from "@fellmark/geodesy";
import type { EndClutterClass } from "@fellmark/propagation";
import type { TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import type { LonLatBox, TerrainFile } from "../catalogue/terrain-file.ts";
import type { RowPositions } from "../sample/bilinear.ts";
import { interpolateLine, projectLine } from "../sample/control-line.ts";
import { countNotKnown } from "../sample/count-not-known.ts";
import { groupFiles } from "../sample/grid-group.ts";
import { computeTurnDeg, type LoadedGroup, loadArea } from "../sample/load-area.ts";
import { sampleNearest, sampleRowNearest } from "../sample/nearest.ts";
import { type ClutterSources, resolveSources } from "./clutter-sources.ts";
import { CLUTTER_KINDS, type ClutterTable } from "./clutter-table.ts";
import { resolveClutter, type SourceValues } from "./resolve-clutter.ts";

/** Clutter at a place. Kind "unknown" is not known; kind "open" with height 0 is known to be free. */
export interface ClutterAt {
  kind: EndClutterClass;
  /** Above the ground; NaN where not known. */
  heightM: number;
  /** True where a raster of heights tells it, not only a class of land cover. */
  isMeasured: boolean;
}

/** The data of a clutter mosaic: plain, with its cells in shared memory, so that other threads can use it. */
export interface ClutterData {
  bbox: LonLatBox;
  /** Groups of each source, highest priority first; null where the source is not given. */
  buildings: LoadedGroup[] | null;
  canopy: LoadedGroup[] | null;
  landCover: LoadedGroup[] | null;
  table: ClutterTable | null;
  filesUsed: TerrainFile[];
}

/** Clutter of an area in the rasters' own grids, held in memory. */
export interface ClutterMosaic {
  data: ClutterData;
  findClutter(lon: number, lat: number): ClutterAt;
  /**
   * Writes the clutter at equal steps along a line, both ends included: heights above the ground, NaN where not known,
   * and indices into CLUTTER_KINDS. The length of the arrays is the number of points, 2 or more.
   * Returns the number of points that are not known.
   * @param isMeasured receives 1 where a raster of heights tells it.
   */
  sampleLine(line: GeodesicLine, heightM: Float64Array, kind: Uint8Array, isMeasured?: Uint8Array): number;
  /** Ground size of the finest cells, m; Infinity without files. */
  stepM: number;
}

/**
 * Loads the clutter of an area. East may pass 180 degrees; places may be given on any turn of longitude.
 * Throws InputError as `checkClutterSources`, TerrainError `terrain_too_fine` when the area holds too many cells.
 */
export async function openClutter(
  catalogue: TerrainCatalogue,
  sources: ClutterSources,
  bbox: LonLatBox,
): Promise<ClutterMosaic> {
  const { landCover, canopy, buildings } = resolveSources(catalogue, sources);
  const load = async (files: readonly TerrainFile[] | null | undefined) =>
    files ? await loadArea(groupFiles(files, bbox), bbox, "shared") : null;
  const layers = {
    buildings: await load(buildings),
    canopy: await load(canopy),
    landCover: await load(landCover?.files),
  };
  const groups = Object.values(layers).flatMap((each) => each ?? []);
  const filesUsed = [...new Set(groups.flatMap(({ group }) => group.members.map(({ file }) => file)))];
  return createClutterMosaic({ bbox, ...layers, table: landCover?.table ?? null, filesUsed });
}

/** Returns the mosaic of data that `openClutter` loaded, here or in another thread. */
export function createClutterMosaic(data: ClutterData): ClutterMosaic {
  const buildings = placeGroups(data.buildings);
  const canopy = placeGroups(data.canopy);
  const landCover = placeGroups(data.landCover);
  const onePlace = createScratch(data, 1);
  const height = new Float64Array(1);
  const kind = new Uint8Array(1);
  const measured = new Uint8Array(1);
  let onLine = onePlace;

  function sampleAll({ values }: Scratch, sample: (groups: readonly PlacedGroup[], out: Float32Array) => void) {
    if (values.buildings) sample(buildings, values.buildings);
    if (values.canopy) sample(canopy, values.canopy);
    if (values.codes) sample(landCover, values.codes);
  }

  return {
    data,
    findClutter(lon, lat) {
      const turned = lon + computeTurnDeg(lon, data.bbox);
      sampleAll(onePlace, (groups, out) => samplePlace(groups, turned, lat, out));
      resolveClutter(onePlace.values, height, kind, measured);
      return {
        kind: CLUTTER_KINDS[kind[0] as number] as EndClutterClass,
        heightM: height[0] as number,
        isMeasured: measured[0] === 1,
      };
    },
    stepM: Math.min(...data.filesUsed.map(({ resolutionM }) => resolutionM)),
    sampleLine(line, heightM, kinds, isMeasured) {
      if (onLine.positions.cols.length !== kinds.length) onLine = createScratch(data, kinds.length);
      const turnDeg = computeTurnDeg(line.nodeLon[0] as number, data.bbox);
      sampleAll(onLine, (groups, out) => sampleLine(groups, line, turnDeg, onLine.positions, out));
      return resolveClutter(onLine.values, heightM, kinds, isMeasured);
    },
  };
}

/** Buffers for the positions of points and for the value of each source there. */
interface Scratch {
  positions: RowPositions;
  values: SourceValues;
}

function createScratch({ buildings, canopy, landCover, table }: ClutterData, points: number): Scratch {
  return {
    positions: { cols: new Float64Array(points), rows: new Float64Array(points) },
    values: {
      buildings: buildings && new Float32Array(points),
      canopy: canopy && new Float32Array(points),
      codes: landCover && new Float32Array(points),
      table,
    },
  };
}

type PlacedGroup = LoadedGroup & { crs: Crs };

function placeGroups(groups: readonly LoadedGroup[] | null): PlacedGroup[] {
  return (groups ?? []).map((each) => ({ ...each, crs: findCrs(each.group.crs) }));
}

/** Writes the value of the nearest cell at a place; NaN where no raster knows it. */
function samplePlace(groups: readonly PlacedGroup[], lon: number, lat: number, out: Float32Array): void {
  out[0] = Number.NaN;
  for (const { group, cells, crs } of groups) {
    const [x, y] = crs.project(lon, lat);
    out[0] = sampleNearest(cells, (x - group.x0) / group.stepX, (group.y0 - y) / group.stepY);
    if (!Number.isNaN(out[0])) return;
  }
}

/** Writes the values of the nearest cells along a line. */
function sampleLine(
  groups: readonly PlacedGroup[],
  line: GeodesicLine,
  turnDeg: number,
  positions: RowPositions,
  out: Float32Array,
): void {
  out.fill(Number.NaN);
  for (const { group, cells, crs } of groups) {
    interpolateLine(projectLine(group, crs, line, turnDeg), positions.cols, positions.rows);
    sampleRowNearest(cells, group, positions, out, 0);
    if (countNotKnown(out) === 0) return;
  }
}
