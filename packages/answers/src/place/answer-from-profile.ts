import { coverPath, createMastPath, findStatedClutter, isClutterStated, type MastPath } from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, ModelSpec } from "@fellmark/network";
import { InputError } from "@fellmark/units";
import { planRoute } from "../reception/route.ts";
import { findView } from "../scene/cpe-view.ts";
import { createScene } from "../scene/prepare-answers.ts";
import { type Answer, answerPlace, type PlaceQuestion } from "./answer.ts";

/** A profile surveyed or taken from elsewhere: from the mast to the place. */
export interface SurveyedProfile {
  distanceKm: number[];
  groundAmslM: number[];
  clutterHeightM?: number[];
}

/**
 * Answers a place at the end of a given profile; all sectors must stand on the one site where it begins.
 * Throws InputError at `/sites` where there are more, at `/profile` for a malformed profile.
 */
export function answerFromProfile(
  request: CoverageRequest,
  profile: SurveyedProfile,
  at: LonLat | null,
  question: PlaceQuestion = {},
): Answer {
  if (request.sites.length !== 1) {
    throw new InputError([{ pointer: "/sites", detail: "a surveyed profile belongs to one site", limit: 1 }]);
  }
  if (request.emitters.length > 0) {
    throw new InputError([{ pointer: "/emitters", detail: "a surveyed profile does not lead to emitters", limit: 0 }]);
  }
  checkProfile(profile);
  const { model } = request;
  const ends = findStatedClutter(model, findSurveyedEnds(profile));
  const scene = createScene(request, () => ends, null);
  const distanceM = Float64Array.from(profile.distanceKm, (distanceKm) => distanceKm * 1000);
  const line = at && { from: request.sites[0], to: at };
  const bare = createMastPath(distanceM, Float64Array.from(profile.groundAmslM), line);
  const path = model.method !== "end-clutter" ? coverSurveyed(bare, profile, model) : bare;
  const routes = scene.stations.map((station) => planRoute(station, path, true));
  // No raster is read here, so what only rasters would tell is not known.
  const isClutterKnown = "class" in model.clutter && isClutterStated(model);
  const clutter = { clutter: ends.cpe, isClutterKnown, roofM: 0 };
  return answerPlace(findView(scene), { at, routes, far: null, ...clutter }, question);
}

/** Surveyed heights on the way count as trees where the request's class is trees, else as buildings; at the ends they count there. */
function coverSurveyed(bare: MastPath, { clutterHeightM }: SurveyedProfile, { clutter }: ModelSpec): MastPath {
  if (!clutterHeightM) return bare;
  const heightM = Float64Array.from(clutterHeightM);
  const none = new Float64Array(heightM.length);
  const isTrees = "class" in clutter && clutter.class === "trees";
  return coverPath(
    bare,
    isTrees ? { canopyHeightM: heightM, buildingHeightM: none } : { canopyHeightM: none, buildingHeightM: heightM },
  );
}

function findSurveyedEnds({ clutterHeightM }: SurveyedProfile): { mastM: number; cpeM: number } | undefined {
  return clutterHeightM && { mastM: clutterHeightM[0], cpeM: clutterHeightM[clutterHeightM.length - 1] };
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
