import type { LonLat } from "@fellmark/geodesy";
import type { PlaceSpec } from "@fellmark/network";
import {
  findLocationAccuracyM,
  findMeantPremises,
  POINT_QUALITY_M,
  type Premises,
  type PremisesShelf,
  type SearchHit,
} from "@fellmark/premises";
import { InputError } from "@fellmark/units";

/** A place that was found, and what it was found by. */
export interface FoundPlace {
  at: LonLat;
  /** Radius of the circle within which the house lies; 0: the point is exact. */
  locationAccuracyM: number;
  /** As it stands in the premises; null for a bare point. */
  premises: string | null;
  address: string | null;
  /** Words of the address asked for that fit only with a typo. */
  typos: number;
}

/** An address that no premises, or more than one, have: never guessed. */
export interface UnclearPlace {
  reason: string;
  matches: { premises: string; address: string; at: [number, number] }[];
}

/** The point of a place. Throws InputError at /place/premises for an id that is not there. */
export async function findPlace(
  shelf: Pick<PremisesShelf, "list">,
  tenant: string,
  place: PlaceSpec,
): Promise<FoundPlace | UnclearPlace> {
  if ("at" in place) {
    const [lon, lat] = place.at;
    const locationAccuracyM = place.quality === undefined ? 0 : POINT_QUALITY_M[place.quality];
    return { at: { lon, lat }, locationAccuracyM, premises: null, address: null, typos: 0 };
  }
  const list = await shelf.list(tenant);
  if ("premises" in place) {
    const known = list?.withId(place.premises);
    if (!known) throw new InputError([{ pointer: "/place/premises", detail: "not found: no such premises" }]);
    return buildFoundPlace(known, 0);
  }
  if (!list) return { reason: "no premises were imported, so no address is known", matches: [] };
  const meant = findMeantPremises(list, place.address);
  if ("hit" in meant) return buildFoundPlace(meant.hit, meant.hit.typos);
  const matches = meant.matches.map(toMatch);
  if (matches.length === 0) return { reason: "no such address is known", matches };
  return { reason: `${matches.length} addresses fit equally well: name one by its premises`, matches };
}

function buildFoundPlace(premises: Premises, typos: number): FoundPlace {
  const { id, address, lon, lat } = premises;
  return { at: { lon, lat }, locationAccuracyM: findLocationAccuracyM(premises), premises: id, address, typos };
}

function toMatch({ id, address, lon, lat }: SearchHit): UnclearPlace["matches"][number] {
  return { premises: id, address, at: [lon, lat] };
}
