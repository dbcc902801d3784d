import type { PremisesWord } from "@fellmark/ledger";
import { OTHER_SPELLINGS, splitAddress } from "../address/address-words.ts";
import { isBeginningOneTypoAway, isOneTypoAway } from "./one-typo.ts";

/** Shortest word with typing errors: in a shorter one an error could give almost any word; only one missing letter of three is tried. */
const MIN_TYPO_LETTERS = 3;

/** Words of all addresses, and the meanings of a typed word among them. */
export interface Vocabulary {
  /** Returns words that differ by one typing error; for a word being typed also those that begin so. */
  oneTypoAway(typed: string, isUnfinished: boolean): string[];
  /** Returns words with a spelling that begins so: "stre" is the beginning of a spelling of "st". */
  spelledFrom(beginning: string): string[];
  /** Returns the share of all addresses that have the word; 0 for words with a digit, which are never frequent. */
  shareOf(word: string): number;
}

export function createVocabulary(words: readonly PremisesWord[], addresses: number): Vocabulary {
  const known = new Map(words.map(({ word, count }) => [word, count]));
  const others = OTHER_SPELLINGS.filter(([, word]) => known.has(word) || /\d/.test(word));
  const spellings = [...words.map(({ word }) => [word, word] as const), ...others];

  function findMeanings(fits: (spelling: string) => boolean): string[] {
    return [...new Set(spellings.filter(([spelling]) => fits(spelling)).map(([, word]) => word))];
  }

  return {
    oneTypoAway(typed, isUnfinished) {
      if (typed.length < MIN_TYPO_LETTERS - 1 || /\d/.test(typed)) return [];
      const isAway = isUnfinished ? isBeginningOneTypoAway : isOneTypoAway;
      return findMeanings((word) => Math.max(word.length, typed.length) >= MIN_TYPO_LETTERS && isAway(word, typed));
    },
    spelledFrom(beginning) {
      const begun = others.filter(([spelling]) => spelling.startsWith(beginning));
      return [...new Set(begun.map(([, word]) => word))];
    },
    shareOf: (word) => (known.get(word) ?? 0) / addresses,
  };
}

/** Returns the standard word of a spelling. */
export function findWord(spelling: string): string {
  return splitAddress(spelling)[0] ?? spelling;
}
