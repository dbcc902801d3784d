import type { UnclearPlace } from "./find-place.ts";

/** What is answered where an address is not known, or fits several premises: which they are. */
export function unclearReply({ reason, matches }: UnclearPlace) {
  return { version: 1 as const, place: null, reason, matches };
}
