import { geodesicBetween, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, SiteSpec } from "@fellmark/network";
import { type LonLatBox, openMosaic, readProfile, type TerrainCatalogue } from "@fellmark/terrain";
import { InputError } from "@fellmark/units";
import { MAX_REACH_M } from "../mast.ts";
import { type Answer, answerPlace } from "./answer.ts";
import { type MastPath, mastPath } from "./mast-path.ts";

/** A profile surveyed or taken from elsewhere: from the mast to the place. */
export interface SurveyedProfile {
  distanceKm: number[];
  groundAmslM: number[];
  clutterHeightM?: number[];
}

/** Margin of the terrain read around a path, degrees; a path bends away from its box by less. */
const BOX_MARGIN_DEG = 0.02;

/** Answers a place from the terrain: each mast's profile at half the terrain's own step. */
export async function answerFromTerrain(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  at: LonLat,
): Promise<Answer> {
  const pathOf = new Map<string, MastPath | null>();
  for (const site of request.sites) {
    const inReach = geodesicBetween(site, at).distanceM <= MAX_REACH_M;
    pathOf.set(site.id, inReach ? await terrainPath(catalogue, request, site, at) : null);
  }
  return answerPlace(
    request,
    at,
    request.sectors.map((sector) => pathOf.get(sector.site) ?? null),
  );
}

async function terrainPath(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  site: SiteSpec,
  at: LonLat,
): Promise<MastPath> {
  const turned = { lon: at.lon + 360 * Math.round((site.lon - at.lon) / 360), lat: at.lat };
  const box: LonLatBox = [
    Math.min(site.lon, turned.lon) - BOX_MARGIN_DEG,
    Math.min(site.lat, turned.lat) - BOX_MARGIN_DEG,
    Math.max(site.lon, turned.lon) + BOX_MARGIN_DEG,
    Math.max(site.lat, turned.lat) + BOX_MARGIN_DEG,
  ];
  const mosaic = await openMosaic(catalogue, request.terrain.sets, box);
  if (Number.isNaN(mosaic.stepM)) return mastPath(Float64Array.of(0, 1), Float64Array.of(Number.NaN, Number.NaN), null);
  const profile = readProfile(mosaic, site, turned, mosaic.stepM / 2);
  return mastPath(profile.distanceM, profile.heightAmslM, { from: site, to: turned });
}

/**
 * Answers a place at the end of a given profile; all sectors must stand on the one site where it begins.
 * Throws InputError at `/sites` where there are more, at `/profile` for a malformed profile.
 */
export function answerFromProfile(request: CoverageRequest, profile: SurveyedProfile, at: LonLat | null): Answer {
  if (request.sites.length !== 1) {
    throw new InputError([{ pointer: "/sites", detail: "a surveyed profile belongs to one site", limit: 1 }]);
  }
  checkProfile(profile);
  const distanceM = Float64Array.from(profile.distanceKm, (distanceKm) => distanceKm * 1000);
  const ends = at && { from: request.sites[0], to: at };
  const path = mastPath(distanceM, Float64Array.from(profile.groundAmslM), ends);
  const paths = request.sectors.map(() => path);
  const { clutterHeightM } = profile;
  if (!clutterHeightM) return answerPlace(request, at, paths);
  const ofEnds = { mastM: clutterHeightM[0], kitM: clutterHeightM[clutterHeightM.length - 1] };
  return answerPlace(request, at, paths, ofEnds);
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
