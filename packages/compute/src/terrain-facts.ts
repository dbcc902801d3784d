import { readGroundHeight } from "@fellmark/coverage";
import { findGeodesicPoint, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, TerrainFacts } from "@fellmark/network";
import { checkClutterSources, selectElevationFiles, type TerrainCatalogue } from "@fellmark/terrain";

/** The parts of a request or network that terrain is asked about. */
export interface TerrainQuestion {
  sites: readonly LonLat[];
  terrain: Pick<CoverageRequest["terrain"], "sets">;
  model: Pick<CoverageRequest["model"], "clutter">;
}

/** Returns what terrain is asked about a request or network, which may be large, and no more of it. */
export function selectQuestion({ sites, terrain: { sets }, model: { clutter } }: TerrainQuestion): TerrainQuestion {
  return { sites: sites.map(({ lon, lat }) => ({ lon, lat })), terrain: { sets }, model: { clutter } };
}

/** Ground up to this height above sea may be water: elevation models round the sea to 0. */
const WATER_AMSL_M = 0.5;

/** Distance and directions in which ground is looked up around a site that may stand in water. */
const AROUND_M = 300;
const DIRECTIONS_DEG = [0, 45, 90, 135, 180, 225, 270, 315];

/**
 * Reads from the terrain what a request or network is checked against before work is queued.
 * Throws InputError `terrain_set_unknown` or `terrain_set_kind`.
 */
export async function readTerrainFacts(
  catalogue: TerrainCatalogue,
  { sites, terrain, model: { clutter } }: TerrainQuestion,
): Promise<TerrainFacts> {
  selectElevationFiles(catalogue, terrain.sets);
  if (!("class" in clutter)) checkClutterSources(catalogue, clutter);
  const canopy = "class" in clutter ? undefined : clutter.canopy;
  const readGround = (place: LonLat) => readGroundHeight(catalogue, terrain.sets, place, canopy);
  const groundAmslM: (number | null)[] = [];
  const isWater: boolean[] = [];
  for (const site of sites) {
    const heightM = await readGround(site);
    groundAmslM.push(Number.isNaN(heightM) ? null : heightM);
    isWater.push(heightM <= WATER_AMSL_M && (await isLowAround(site, readGround)));
  }
  return { groundAmslM, isWater, sets: listSets(catalogue) };
}

async function isLowAround(site: LonLat, readGround: (place: LonLat) => Promise<number>): Promise<boolean> {
  for (const azimuthDeg of DIRECTIONS_DEG) {
    const heightM = await readGround(findGeodesicPoint(site, azimuthDeg, AROUND_M));
    if (heightM > WATER_AMSL_M) return false;
  }
  return true;
}

function listSets({ sets, files }: TerrainCatalogue): TerrainFacts["sets"] {
  return sets.map(({ name, kind }) => {
    const own = files.filter((file) => file.set === name);
    return { name, kind, boxes: own.map(({ bbox }) => bbox) };
  });
}
