import { geodesicBetween, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { InputError } from "@fellmark/units";
import { MAX_REACH_M } from "../mast.ts";
import type { SectorNoise } from "../sector-noise/sector-noise.ts";
import { type Answer, answerPlace } from "./answer.ts";
import { type MastPath, mastPath } from "./mast-path.ts";
import { terrainPath } from "./terrain-path.ts";

/** A profile surveyed or taken from elsewhere: from the mast to the place. */
export interface SurveyedProfile {
  distanceKm: number[];
  groundAmslM: number[];
  clutterHeightM?: number[];
}

/**
 * Answers a place from the terrain: each mast's profile at half the terrain's own step.
 * @param noise what every sector hears; absent: its own noise only.
 */
export async function answerFromTerrain(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  at: LonLat,
  noise?: SectorNoise[],
): Promise<Answer> {
  const pathFrom = async (from: LonLat): Promise<MastPath | null> => {
    const inReach = geodesicBetween(from, at).distanceM <= MAX_REACH_M;
    return inReach ? await terrainPath(catalogue, request, from, at) : null;
  };
  const pathOfSite = new Map<string, MastPath | null>();
  for (const site of request.sites) pathOfSite.set(site.id, await pathFrom(site));
  const paths = request.sectors.map((sector) => pathOfSite.get(sector.site) ?? null);
  for (const emitter of request.emitters) paths.push(await pathFrom(emitter));
  return answerPlace(request, { at, paths, ...(noise && { noise }) });
}

/**
 * Answers a place at the end of a given profile; all sectors must stand on the one site where it begins.
 * Throws InputError at `/sites` where there are more, at `/profile` for a malformed profile.
 */
export function answerFromProfile(request: CoverageRequest, profile: SurveyedProfile, at: LonLat | null): Answer {
  if (request.sites.length !== 1) {
    throw new InputError([{ pointer: "/sites", detail: "a surveyed profile belongs to one site", limit: 1 }]);
  }
  if (request.emitters.length > 0) {
    throw new InputError([{ pointer: "/emitters", detail: "a surveyed profile does not lead to emitters", limit: 0 }]);
  }
  checkProfile(profile);
  const distanceM = Float64Array.from(profile.distanceKm, (distanceKm) => distanceKm * 1000);
  const ends = at && { from: request.sites[0], to: at };
  const path = mastPath(distanceM, Float64Array.from(profile.groundAmslM), ends);
  const paths = request.sectors.map(() => path);
  const { clutterHeightM } = profile;
  if (!clutterHeightM) return answerPlace(request, { at, paths });
  const clutterHeights = { mastM: clutterHeightM[0], kitM: clutterHeightM[clutterHeightM.length - 1] };
  return answerPlace(request, { at, paths, clutterHeights });
}

function checkProfile({ distanceKm, groundAmslM, clutterHeightM }: SurveyedProfile): void {
  const fail = (field: string, detail: string, limit?: string | number) => {
    throw new InputError([{ pointer: `/profile/${field}`, detail, ...(limit === undefined ? {} : { limit }) }]);
  };
  if (!(distanceKm.length >= 3)) fail("distanceKm", "a profile needs at least 3 points", 3);
  if (distanceKm[0] !== 0) fail("distanceKm/0", "a profile begins at the mast", 0);
  distanceKm.forEach((distance, index) => {
    if (index > 0 && !(distance > distanceKm[index - 1])) fail(`distanceKm/${index}`, "distances must rise");
  });
  if (groundAmslM.length !== distanceKm.length) fail("groundAmslM", "as many heights as distances", distanceKm.length);
  if (clutterHeightM && clutterHeightM.length !== distanceKm.length) {
    fail("clutterHeightM", "as many clutter heights as distances", distanceKm.length);
  }
}
