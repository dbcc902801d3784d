import { countWorldCells, type LatticeWindow, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import type { Position } from "geojson";
import type { PolygonCollection, PolygonFeature } from "../geojson.ts";
import { type ClassGrid, MAX_PLANS, TIER_CLASS, type TierPlan } from "../tier-class.ts";
import { forEachPoint, type Ring } from "./rings.ts";
import { simplifyArcs } from "./simplify-arcs.ts";
import { mergeSpecks } from "./specks.ts";
import { computeTierAreas } from "./tier-areas.ts";
import type { ArcSet } from "./trace-arcs.ts";
import { tracePolygons } from "./trace-polygons.ts";

/** 1e-7 degrees is 11 mm. Source: RFC 7946, section 11.2, advises against more than it takes. */
const COORDINATE_STEPS_PER_DEG = 1e7;

export interface TraceSettings {
  /** Regions of a plan smaller than this on the ground become part of a lower tier; 0 keeps all. */
  speckAreaM2: number;
  /** Tolerance of simplified borders, see simplifyArcs; 0 follows the cell edges exactly. */
  simplifyCells: number;
}

export const TRACE_DEFAULTS: TraceSettings = { speckAreaM2: 2500, simplifyCells: 1 };

export interface TraceOptions extends TraceSettings {
  /** Class k is plans[k - 1]. */
  plans: TierPlan[];
}

/** Kind of a feature: a plan holds; it would hold, but a survey must come first; the elevation is not known. */
export type TierKind = "plan" | "survey-first" | "not-known";

export interface TierProperties {
  class: TierKind;
  /** Null where nothing is known. */
  plan: string | null;
  downMbps: number | null;
  upMbps: number | null;
  /** Ground area of the cells, on the WGS84 ellipsoid. */
  areaKm2: number;
  /** Share of the cells of the whole area. */
  share: number;
}

export type TierFeature = PolygonFeature<TierProperties>;
export type TierCollection = PolygonCollection<TierProperties>;

export interface TracedTiers {
  collection: TierCollection;
  /** The classes without specks: what the polygons show. */
  classes: Uint8Array;
}

/** Labels of traced faces beside 1..2n: cells that no feature shows, and those not known, which promise least. */
const LABEL = { none: 253, notKnown: TIER_CLASS.notKnown } as const;

/**
 * The tiers of a class raster as GeoJSON (RFC 7946): exclusive bands by best plan, one feature a plan that occurs, best
 * first, then the plans where a survey must come first, then what is not known. Cells that meet only over a corner are
 * apart, so rings may touch in points but never cross or overlap. Outer rings run anticlockwise; coordinates have 7
 * decimals at most. A window over the antimeridian is cut there.
 * Throws RangeError for a raster that does not fit the window, or a class that is no plan.
 */
export function traceTiers(window: LatticeWindow, classes: Uint8Array, options: TraceOptions): TracedTiers {
  checkInput(window, classes, options);
  const { plans } = options;
  const tierCount = 2 * plans.length;
  const merged = mergeSpecks(window, classes, tierCount, options.speckAreaM2);
  const areas = computeTierAreas(window, merged);
  checkClasses(areas, tierCount);
  const parts = splitByWorld(window, merged).map((part) => traceTierPolygons(part.window, part.grid, options));
  const features = listTiers(plans).flatMap(({ label, ...tier }) => {
    const polygons = parts.flatMap((part) => part[label]);
    return polygons.length === 0 ? [] : [buildFeature(tier, areas[label], polygons)];
  });
  const collection: TierCollection = { type: "FeatureCollection", features };
  if (features.length > 0) collection.bbox = computeBoundingBox(parts.map((part) => part.flat()));
  return { collection, classes: merged };
}

type TierText = Pick<TierProperties, "class" | "plan" | "downMbps" | "upMbps">;

/** Every tier that a feature can show, in the order of features; label is the class. */
function listTiers(plans: readonly TierPlan[]): (TierText & { label: number })[] {
  const ofPlans = (kind: TierKind, before: number) =>
    plans.map(({ id, downMbps, upMbps }, index) => ({
      label: before + index + 1,
      class: kind,
      plan: id,
      downMbps,
      upMbps,
    }));
  return [
    ...ofPlans("plan", 0),
    ...ofPlans("survey-first", plans.length),
    { label: LABEL.notKnown, class: "not-known", plan: null, downMbps: null, upMbps: null },
  ];
}

function checkClasses(areas: readonly { cells: number }[], tierCount: number): void {
  const other = areas.findIndex(
    ({ cells }, tier) => cells > 0 && tier > tierCount && tier !== TIER_CLASS.notKnown && tier !== TIER_CLASS.outside,
  );
  if (other >= 0) throw new RangeError(`class ${other} is none of ${tierCount / 2} plans, surveyed or not`);
}

function checkInput(window: LatticeWindow, classes: Uint8Array, options: TraceOptions): void {
  const cells = window.width * window.height;
  if (classes.length !== cells) throw new RangeError(`the window has ${cells} cells, the raster ${classes.length}`);
  if (window.width > countWorldCells(window.zoom)) throw new RangeError("the window is wider than the world");
  if (options.plans.length > MAX_PLANS) throw new RangeError(`at most ${MAX_PLANS} plans, got ${options.plans.length}`);
  if (!(options.speckAreaM2 >= 0)) throw new RangeError(`speckAreaM2 must be 0 or more, got ${options.speckAreaM2}`);
  if (!(options.simplifyCells >= 0 && options.simplifyCells <= 16)) {
    throw new RangeError(`simplifyCells must be from 0 to 16, got ${options.simplifyCells}`);
  }
}

/** The raster in one piece for each turn of the world that it reaches into: two where it crosses the antimeridian. */
function splitByWorld(window: LatticeWindow, classes: Uint8Array): { window: LatticeWindow; grid: ClassGrid }[] {
  const world = countWorldCells(window.zoom);
  const parts = [];
  for (let turn = Math.floor(window.col0 / world); turn * world < window.col0 + window.width; turn++) {
    const west = Math.max(window.col0, turn * world);
    const width = Math.min(window.col0 + window.width, (turn + 1) * world) - west;
    const part = { ...window, col0: west - turn * world, width };
    const grid = { width, height: window.height, classes: copyColumns(window, classes, west - window.col0, width) };
    parts.push({ window: part, grid });
  }
  return parts;
}

function copyColumns(window: LatticeWindow, classes: Uint8Array, from: number, width: number): Uint8Array {
  if (width === window.width) return classes;
  const columns = new Uint8Array(width * window.height);
  for (let row = 0; row < window.height; row++) {
    const start = row * window.width + from;
    columns.set(classes.subarray(start, start + width), row * width);
  }
  return columns;
}

/** The polygons of each label in a raster that does not cross the antimeridian; index = label. */
function traceTierPolygons(window: LatticeWindow, grid: ClassGrid, options: TraceOptions): Position[][][][] {
  const { width, height, classes } = grid;
  const { plans, simplifyCells: cells } = options;
  const maxSpanCells = computeMaxSpanCells(window.zoom);
  const simplify = (arcs: ArcSet) => simplifyArcs(arcs, { width, height, cells, maxSpanCells });
  return tracePolygons(
    { width, height, classes: toLabels(classes) },
    {
      isShown: (label) => label <= 2 * plans.length || label === LABEL.notKnown,
      ...(cells > 0 && { simplify }),
      toRing: createPositionMaker(window),
    },
  );
}

/** Classes with those that no feature shows as one. */
function toLabels(classes: Uint8Array): Uint8Array {
  const labels = classes.slice();
  for (let cell = 0; cell < labels.length; cell++) {
    if (labels[cell] === TIER_CLASS.noService || labels[cell] === TIER_CLASS.outside) labels[cell] = LABEL.none;
  }
  return labels;
}

/**
 * Longest slanted line for which the map from the lattice to degrees cannot make lines cross, cells.
 * A line of L cells that is straight on the lattice bows by at most c L^2 / 8 cells in degrees, c = 2 pi / world, while
 * a corner of cells and a line beside it are at least 1 / L apart. At zoom 12 it is 55 cells.
 */
function computeMaxSpanCells(zoom: number): number {
  return Math.floor(Math.cbrt(countWorldCells(zoom) / (2 * Math.PI)));
}

/** Makes closed rings of longitude and latitude, rounded, from tables by column and row. */
function createPositionMaker({ zoom, col0, row0, width, height }: LatticeWindow) {
  const lon = Float64Array.from({ length: width + 1 }, (_, x) => roundDeg(toLongitudeDeg(col0 + x, zoom)));
  const lat = Float64Array.from({ length: height + 1 }, (_, y) => roundDeg(toLatitudeDeg(row0 + y, zoom)));
  return (arcs: ArcSet, ring: Ring): Position[] => {
    const positions: Position[] = [];
    forEachPoint(arcs, ring, (point) => positions.push([lon[arcs.x[point]], lat[arcs.y[point]]]));
    return positions;
  };
}

function roundDeg(deg: number): number {
  return Math.round(deg * COORDINATE_STEPS_PER_DEG) / COORDINATE_STEPS_PER_DEG;
}

function buildFeature(tier: TierText, area: { areaM2: number; share: number }, polygons: Position[][][]): TierFeature {
  return {
    type: "Feature",
    properties: { ...tier, areaKm2: area.areaM2 / 1e6, share: area.share },
    geometry:
      polygons.length === 1
        ? { type: "Polygon", coordinates: polygons[0] }
        : { type: "MultiPolygon", coordinates: polygons },
  };
}

/**
 * West, south, east, north of the polygons by part, parts from west to east.
 * Over the antimeridian west is greater than east. Source: RFC 7946, section 5.2.
 */
function computeBoundingBox(parts: Position[][][][]): [number, number, number, number] {
  const boxes = parts.filter((part) => part.length > 0).map(boundPolygons);
  const south = Math.min(...boxes.map((box) => box[1]));
  const north = Math.max(...boxes.map((box) => box[3]));
  return [boxes[0][0], south, boxes[boxes.length - 1][2], north];
}

function boundPolygons(polygons: Position[][][]): [number, number, number, number] {
  let [west, south, east, north] = [180, 90, -180, -90];
  for (const [shell] of polygons) {
    for (const [lon, lat] of shell) {
      west = Math.min(west, lon);
      south = Math.min(south, lat);
      east = Math.max(east, lon);
      north = Math.max(north, lat);
    }
  }
  return [west, south, east, north];
}
