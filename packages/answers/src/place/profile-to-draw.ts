import { CAUTION, isClutterStated, isStatistical, sampleClutter } from "@fellmark/coverage";
import { createGeodesicLine } from "@fellmark/geodesy";
import type { ProfileToDraw } from "@fellmark/picture";
import { toPathProfile } from "@fellmark/propagation";
import type { Arrival } from "../reception/arrival.ts";
import type { Place } from "../reception/place.ts";
import type { Route } from "../reception/route.ts";
import type { CpeView } from "../scene/scene.ts";
import type { AnswerLink } from "./answer-link.ts";
import { formatBothRates } from "./format-figures.ts";
import { type HeadlineFacts, writeOffer, writeVerdict } from "./headline.ts";

/** The link of the case considered, its report, and its headline. */
export interface DrawnLink {
  arrival: Arrival;
  link: AnswerLink;
  facts: HeadlineFacts;
  /** Sentences on its line of sight. */
  sight: string;
}

/** The way from the mast of a link to the place, as it is drawn. */
export function buildProfileToDraw(
  view: CpeView,
  place: Place,
  { arrival, link, facts, sight }: DrawnLink,
): ProfileToDraw {
  const { route, sender } = arrival;
  const { distanceM } = toPathProfile(route.path);
  return {
    title: toSentence(writeVerdict(facts)),
    subtitle: `${writeOffer(facts)}; rate ${formatBothRates(link)}`,
    frequencyGhz: sender.frequencyGhz,
    effectiveEarthRadiusM: view.scene.effectiveEarthRadiusM,
    distanceM: [...distanceM],
    groundAmslM: readGroundHeights(view, place, route),
    clutterHeightM: readClutterHeights(view, place, route),
    mast: { label: sender.sector?.site ?? "mast", heightAglM: sender.heightAglM },
    cpe: { label: "CPE", heightAglM: facts.considered.heightAglM },
    sight,
    blocking: link.obstacles,
    caution: CAUTION,
  };
}

/** Ground on the way, m above sea level; null where it is not known and was bridged. */
function readGroundHeights({ scene }: CpeView, { at }: Place, { station, path }: Route): ProfileToDraw["groundAmslM"] {
  const heights = path.bareAmslM.slice();
  const ground = scene.terrain?.ground;
  const hasGaps = path.notKnownShare > 0 && ground !== undefined && at !== null;
  if (hasGaps) ground.mosaic.sampleHeights(createGeodesicLine(station.place, at), heights);
  return toNullable(heights);
}

/** Clutter on the way, m; null where its height is not known. */
function readClutterHeights({ scene, request }: CpeView, { at }: Place, route: Route): ProfileToDraw["clutterHeightM"] {
  const ground = scene.terrain?.ground;
  if (!ground || at === null || !isClutterStated(request.model) || isStatistical(request.model)) return null;
  const points = route.path.bareAmslM.length;
  // A class that is stated for all places stands at the ends alone.
  if (ground.clutter === null) return Array.from({ length: points }, () => 0);
  return toNullable(sampleClutter(ground.clutter, createGeodesicLine(route.station.place, at), points).heightM);
}

function toNullable(heights: Float64Array): (number | null)[] {
  return Array.from(heights, (heightM) => (Number.isNaN(heightM) ? null : heightM));
}

function toSentence(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
