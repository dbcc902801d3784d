import { addressWords } from "../address/address-words.ts";
import type { PremisesList } from "../premises-list.ts";
import type { SearchHit } from "./search.ts";

/** The premises that an address means; or all that it may mean alike, none where it is not known. Nothing is guessed. */
export type MeantPremises = { hit: SearchHit } | { matches: SearchHit[] };

/** What a whole address means in a list. A search finds more: "5 Main St Apt 12" has every word of "12 Main St". */
export function premisesMeant(list: Pick<PremisesList, "search">, address: string): MeantPremises {
  const { hits, tie } = list.search(address, { limit: 1 });
  const meant = hits.filter((hit) => namesHouseOf(address, hit.address));
  return tie || meant.length === 0 ? { matches: meant } : { hit: meant[0] };
}

/** Whether the first number of the premises' address, which is the house's, stands in an address that has numbers. */
function namesHouseOf(asked: string, known: string): boolean {
  const words = addressWords(asked);
  const house = addressWords(known).find(hasDigit);
  return house === undefined || words.includes(house) || !words.some(hasDigit);
}

function hasDigit(word: string): boolean {
  return /\d/.test(word);
}
