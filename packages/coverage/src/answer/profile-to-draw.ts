import type { ProfileToDraw } from "@fellmark/picture";
import type { AnswerLink } from "./answer-link.ts";
import type { Arrival } from "./arrival.ts";
import type { KitView } from "./kit-view.ts";

/** Stands under every profile. */
const CAUTION = "A prediction, not a promise: survey before you sell or climb.";

/** The way from the mast of a link to the place, as it is drawn. */
export function profileToDraw(
  { scene }: KitView,
  { route, sender }: Arrival,
  link: AnswerLink,
  kitHeightAglM: number,
): ProfileToDraw {
  const { distanceM, surfaceAmslM, bareAmslM } = route.path.profile;
  const isBare = surfaceAmslM === bareAmslM;
  return {
    title: `${link.sector} to ${placeName(link)}`,
    subtitle: `${(link.distanceM / 1000).toFixed(2)} km, ${link.class}, ${link.downMbps.toFixed(0)} / ${link.upMbps.toFixed(0)} Mbit/s`,
    frequencyGhz: sender.frequencyGhz,
    effectiveEarthRadiusM: scene.effectiveEarthRadiusM,
    distanceM: [...distanceM],
    groundAmslM: [...bareAmslM],
    clutterHeightM: isBare ? null : Array.from(surfaceAmslM, (heightM, at) => heightM - bareAmslM[at]),
    mast: { label: sender.sector?.site ?? "mast", heightAglM: sender.heightAglM },
    kit: { label: "kit", heightAglM: kitHeightAglM },
    blocking: link.obstacles,
    caution: CAUTION,
  };
}

function placeName({ azimuthDeg }: AnswerLink): string {
  return azimuthDeg === null ? "the place" : `the place, aim the kit at ${azimuthDeg.toFixed(1)}°`;
}
