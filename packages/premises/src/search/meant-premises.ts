import { splitAddress } from "../address/address-words.ts";
import type { PremisesList } from "../premises-list.ts";
import type { SearchHit } from "./search.ts";

/** The premises that an address means; or all equally good matches, none for an unknown address. */
export type MeantPremises = { hit: SearchHit } | { matches: SearchHit[] };

/** Returns the premises of a complete address. A search finds more: "5 Main St Apt 12" has every word of "12 Main St". */
export function findMeantPremises(list: Pick<PremisesList, "search">, address: string): MeantPremises {
  const { hits, tie } = list.search(address, { limit: 1 });
  const meant = hits.filter((hit) => isNamingHouse(address, hit.address));
  return tie || meant.length === 0 ? { matches: meant } : { hit: meant[0] };
}

/** True where an address with numbers contains the first number of the premises' address, the house number. */
function isNamingHouse(asked: string, known: string): boolean {
  const words = splitAddress(asked);
  const house = splitAddress(known).find(hasDigit);
  return house === undefined || words.includes(house) || !words.some(hasDigit);
}

function hasDigit(word: string): boolean {
  return /\d/.test(word);
}
