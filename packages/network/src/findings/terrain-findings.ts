import { findGeodesicPoint, type LonLat } from "@fellmark/geodesy";
import type { CheckedParts, Finding, TerrainFacts } from "./finding.ts";
import { listPlaceSlips } from "./place-slips.ts";

type Box = TerrainFacts["sets"][number]["boxes"][number];

const ELEVATION_KINDS = ["bare", "surface", "unknown"];
const CLUTTER_FIELDS: Readonly<Record<string, string>> = {
  canopy: "canopy",
  buildings: "buildings",
  "land-cover": "landCover",
};

/** Part of the map that may lie outside the terrain without a finding. */
const MAX_OUTSIDE_SHARE = 0.02;

/** Directions and rings that the map around a site is looked up on. */
const DIRECTIONS = 24;
const RINGS = 5;

/** Masts outside the terrain, in voids and in the sea, maps that reach beyond it, and clutter that is not used. */
export function findTerrainSlips(parts: CheckedParts, terrain: TerrainFacts): Finding[] {
  const boxes = terrain.sets
    .filter(({ name, kind }) => ELEVATION_KINDS.includes(kind) && parts.terrain.sets.includes(name))
    .flatMap((set) => set.boxes);
  return [
    ...parts.sites.flatMap((site, index) => findSiteSlips(parts, terrain, boxes, { site, index })),
    ...findMapBeyond(parts, boxes),
    ...findUnusedClutter(parts, terrain),
  ];
}

function findSiteSlips(
  { terrain: { fillVoids } }: CheckedParts,
  { groundAmslM, isWater }: TerrainFacts,
  boxes: readonly Box[],
  { site, index }: { site: CheckedParts["sites"][number]; index: number },
): Finding[] {
  const at = { pointer: `/sites/${index}`, row: site.id };
  const place = `longitude ${site.lon}, latitude ${site.lat}`;
  if (!isCovered(site, boxes)) return [{ ...at, ...wordOutside(site, boxes) }];
  if (groundAmslM[index] === null) {
    return [
      {
        ...at,
        code: "void_at_mast",
        detail: `the terrain has no height at ${place}`,
        likelyCause: "the elevation has a void there",
        suggestion: fillVoids ? "use another elevation set" : "fill small voids: set terrain.fillVoids to true",
        severity: "error",
      },
    ];
  }
  if (!isWater[index]) return [];
  return [
    {
      ...at,
      code: "mast_in_water",
      detail: `the ground at ${place} and around it is at sea level: ${groundAmslM[index]} m`,
      likelyCause: "the place is in the sea: a digit or a sign is wrong",
      suggestion: "check longitude and latitude",
      severity: "error",
    },
  ];
}

function wordOutside(site: LonLat, boxes: readonly Box[]): Omit<Finding, "pointer" | "row"> {
  const covered = wordArea(boxes);
  const detail = `longitude ${site.lon}, latitude ${site.lat} is outside the terrain, which covers ${covered}`;
  const meant = listPlaceSlips(site).find(({ place }) => isCovered(place, boxes));
  if (!meant) {
    const likelyCause = "a digit is wrong, or elevation tiles are missing";
    const suggestion = "check longitude and latitude, or add the tiles";
    return { code: "outside_terrain", detail, likelyCause, suggestion, severity: "error" };
  }
  const suggestion = `if so, state longitude ${meant.place.lon}, latitude ${meant.place.lat}`;
  return { code: meant.code, detail, likelyCause: meant.cause, suggestion, severity: "error" };
}

/** The area that boxes cover, in words. */
function wordArea(boxes: readonly Box[]): string {
  if (boxes.length === 0) return "nothing in the sets named";
  const edge = (side: 0 | 1 | 2 | 3, pick: (...values: number[]) => number) =>
    pick(...boxes.map((box) => box[side])).toFixed(2);
  const longitudes = `longitude ${edge(0, Math.min)} to ${edge(2, Math.max)}`;
  return `${longitudes}, latitude ${edge(1, Math.min)} to ${edge(3, Math.max)}`;
}

function isCovered({ lon, lat }: LonLat, boxes: readonly Box[]): boolean {
  return boxes.some(([west, south, east, north]) => lon >= west && lon <= east && lat >= south && lat <= north);
}

/** The share of the discs around covered sites that no elevation file covers. */
function findMapBeyond({ sites, radiusM }: CheckedParts, boxes: readonly Box[]): Finding[] {
  const covered = sites.filter((site) => isCovered(site, boxes));
  if (radiusM === undefined || covered.length === 0) return [];
  const points = covered.flatMap((site) => listDiscPoints(site, radiusM));
  const share = points.filter((point) => !isCovered(point, boxes)).length / points.length;
  if (share <= MAX_OUTSIDE_SHARE) return [];
  const percent = (100 * share).toFixed(0);
  return [
    {
      code: "map_beyond_terrain",
      pointer: "/area/radiusM",
      row: "area",
      detail: `${percent} % of the area within ${radiusM} m of the sites is outside the terrain, which covers ${wordArea(boxes)}`,
      likelyCause: "elevation tiles of the neighbourhood are missing",
      suggestion: "add the tiles or state a smaller radius; that part of the map is not known",
      severity: "warning",
    },
  ];
}

/** Points of a disc, each for an equal area. */
function listDiscPoints(centre: LonLat, radiusM: number): LonLat[] {
  return Array.from({ length: DIRECTIONS * RINGS }, (_, index) => {
    const ring = Math.floor(index / DIRECTIONS);
    return findGeodesicPoint(
      centre,
      (index % DIRECTIONS) * (360 / DIRECTIONS),
      radiusM * Math.sqrt((ring + 0.5) / RINGS),
    );
  });
}

function findUnusedClutter({ model: { clutter } }: CheckedParts, { sets }: TerrainFacts): Finding[] {
  if (!("class" in clutter) || clutter.class !== "unknown") return [];
  const available = sets.filter(({ kind, boxes }) => CLUTTER_FIELDS[kind] !== undefined && boxes.length > 0);
  const named = available.map(({ name, kind }) => `"${CLUTTER_FIELDS[kind]}": "${name}"`).join(", ");
  return [
    {
      code: available.length > 0 ? "clutter_not_used" : "clutter_missing",
      pointer: "/model/clutter",
      row: "model",
      detail: 'clutter is "unknown": trees and houses are not counted, no place is better than survey first',
      likelyCause: available.length > 0 ? "the sets of the terrain folder are not named" : "no data was given",
      suggestion:
        available.length > 0 ? `state "clutter": {${named}}` : "add canopy, buildings or land cover, or name one class",
      severity: "hint",
    },
  ];
}
