import { SPELLINGS } from "./abbreviations.ts";

const WORD_OF: ReadonlyMap<string, string> = new Map(
  SPELLINGS.flatMap(([word, ...others]) => others.map((spelling) => [spelling, word] as const)),
);

const IS_ASCII = /^[\x20-\x7e]*$/;

/** Alternative spellings of the table with their standard word. */
export const OTHER_SPELLINGS: readonly (readonly [spelling: string, word: string])[] = [...WORD_OF];

/**
 * Returns the words of an address for comparison: lower case, without accents, apostrophes and signs, each in its standard
 * spelling.
 * @example addressWords("12 O'Hara Street, Süd") // ["12", "ohara", "st", "sud"]
 */
export function splitAddress(address: string): string[] {
  return splitWords(address).map((word) => WORD_OF.get(word) ?? word);
}

/** Returns the words as they are spelled, for words that are still being typed, such as "stre". */
export function splitWords(text: string): string[] {
  const lower = text.toLowerCase().replaceAll("'", "");
  if (IS_ASCII.test(lower)) return lower.match(/[a-z0-9]+/g) ?? [];
  const unaccented = lower
    .replaceAll("’", "")
    .normalize("NFKD")
    .replace(/\p{M}+/gu, "");
  return unaccented.match(/[\p{L}\p{N}]+/gu) ?? [];
}
