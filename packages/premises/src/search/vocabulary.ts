import type { PremisesWord } from "@fellmark/ledger";
import { addressWords, OTHER_SPELLINGS } from "../address/address-words.ts";
import { beginsOneTypoAway, isOneTypoAway } from "./one-typo.ts";

/** In a shorter word one typo would make almost any other of its length; only a letter left out of three is looked for. */
const MIN_TYPO_LETTERS = 3;

/** The words of all addresses, and what a typed word may stand for among them. */
export interface Vocabulary {
  /** Words with exactly one typo; where it is still being typed, also those that begin so. */
  oneTypoAway(typed: string, isUnfinished: boolean): string[];
  /** Words of which a spelling begins like this: "stre" is the beginning of "st". */
  spelledFrom(beginning: string): string[];
  /** Share of all addresses that have the word; 0 for words with a digit, of which none is frequent. */
  shareOf(word: string): number;
}

export function createVocabulary(words: readonly PremisesWord[], addresses: number): Vocabulary {
  const known = new Map(words.map(({ word, count }) => [word, count]));
  const others = OTHER_SPELLINGS.filter(([, word]) => known.has(word) || /\d/.test(word));
  const spellings = [...words.map(({ word }) => [word, word] as const), ...others];

  function meantBy(fits: (spelling: string) => boolean): string[] {
    return [...new Set(spellings.filter(([spelling]) => fits(spelling)).map(([, word]) => word))];
  }

  return {
    oneTypoAway(typed, isUnfinished) {
      if (typed.length < MIN_TYPO_LETTERS - 1 || /\d/.test(typed)) return [];
      const isAway = isUnfinished ? beginsOneTypoAway : isOneTypoAway;
      return meantBy((word) => Math.max(word.length, typed.length) >= MIN_TYPO_LETTERS && isAway(word, typed));
    },
    spelledFrom(beginning) {
      const begun = others.filter(([spelling]) => spelling.startsWith(beginning));
      return [...new Set(begun.map(([, word]) => word))];
    },
    shareOf: (word) => (known.get(word) ?? 0) / addresses,
  };
}

/** The word that stands for a spelling. */
export function wordOf(spelling: string): string {
  return addressWords(spelling)[0] ?? spelling;
}
