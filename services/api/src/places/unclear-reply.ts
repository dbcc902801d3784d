import type { UnclearPlace } from "./find-place.ts";

/** Reply where an address is not known, or fits several premises: it lists them. */
export function buildUnclearReply({ reason, matches }: UnclearPlace) {
  return { version: 1 as const, place: null, reason, matches };
}
