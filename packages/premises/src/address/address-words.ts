import { SPELLINGS } from "./abbreviations.ts";

const WORD_OF: ReadonlyMap<string, string> = new Map(
  SPELLINGS.flatMap(([word, ...others]) => others.map((spelling) => [spelling, word] as const)),
);

const IS_ASCII = /^[\x20-\x7e]*$/;

/** Every spelling of the table that is not itself the word for it, with that word. */
export const OTHER_SPELLINGS: readonly (readonly [spelling: string, word: string])[] = [...WORD_OF];

/**
 * The words of an address as they are compared: lower case, without accents, apostrophes and signs, each in the spelling
 * that stands for all of its spellings.
 * @example addressWords("12 O'Hara Street, Süd") // ["12", "ohara", "st", "sud"]
 */
export function addressWords(address: string): string[] {
  return plainWords(address).map((word) => WORD_OF.get(word) ?? word);
}

/** The words as they were spelled; whoever types may have got no further than "stre". */
export function plainWords(text: string): string[] {
  const lower = text.toLowerCase().replaceAll("'", "");
  if (IS_ASCII.test(lower)) return lower.match(/[a-z0-9]+/g) ?? [];
  const unaccented = lower
    .replaceAll("’", "")
    .normalize("NFKD")
    .replace(/\p{M}+/gu, "");
  return unaccented.match(/[\p{L}\p{N}]+/gu) ?? [];
}
