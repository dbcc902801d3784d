import type { MastPath } from "@fellmark/coverage";
import type { Station } from "../scene/station.ts";

/** The way from a station to the place in question. */
export interface Route {
  station: Station;
  path: MastPath;
  /** False where over 1 % of its heights are missing: it then counts as free space, and never serves. */
  isKnown: boolean;
  /** True where its sectors may serve the place. */
  mayServe: boolean;
}

/** Share of a profile without elevation above which nothing is said of it. Common practice, no source. */
const MAX_NOT_KNOWN_SHARE = 0.01;

export function planRoute(station: Station, path: MastPath, isInRange: boolean): Route {
  const isKnown = path.notKnownShare <= MAX_NOT_KNOWN_SHARE;
  return { station, path, isKnown, mayServe: isInRange && isKnown && station.site !== null };
}
