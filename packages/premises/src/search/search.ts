import type { PremisesReader, PremisesRecord } from "@fellmark/ledger";
import { splitWords } from "../address/address-words.ts";
import type { Premises } from "../premises.ts";
import { findWord, type Vocabulary } from "./vocabulary.ts";

export interface SearchOptions {
  /** True: the last word may be incomplete. */
  isTyping: boolean;
  limit: number;
}

export interface SearchHit extends Premises {
  /** Number of words of the query that fit only with a typing error. */
  typos: number;
}

export interface SearchResult {
  /** Hits, best first; empty: unknown address. */
  hits: SearchHit[];
  /** True: several hits are equally good, and all of them are returned. */
  tie: boolean;
}

const MAX_QUERY_CHARS = 200;
const MAX_QUERY_WORDS = 16;

/** Limit of addresses that a query finds before ranking. */
const MAX_CANDIDATES = 200;

/** Limit of equally good addresses that are returned. */
const MAX_TIED = 50;

/** A word in a larger share of all addresses only filters the addresses found by the other words. */
const BROAD_SHARE = 0.02;

/** A word being typed with fewer letters counts as that frequent. */
const BROAD_LETTERS = 3;

/** Meanings of one typed word: the word itself, its completions, words that differ by a typing error. */
interface Wanted {
  word: string;
  /** Beginnings of words that fit; empty for a complete word. */
  beginnings: string[];
  typos: ReadonlySet<string>;
  isBroad: boolean;
}

/**
 * Returns addresses that have every word of the query. Typing errors are tried only where the words as typed find
 * nothing; house numbers and all words with a digit must be exact.
 */
export function searchAddresses(
  list: PremisesReader,
  vocabulary: Vocabulary,
  query: string,
  { isTyping, limit }: SearchOptions,
): SearchResult {
  const typed = splitWords(query.slice(0, MAX_QUERY_CHARS)).slice(0, MAX_QUERY_WORDS);
  if (typed.length === 0) return { hits: [], tie: false };
  const isGoingOn = isTyping && !/\s$/.test(query);
  const find = (how: { isGoingOn: boolean; withTypos: boolean }): Found => {
    const wanted = typed.map((word, index) => {
      return interpretWord(word, vocabulary, { ...how, isUnfinished: how.isGoingOn && index === typed.length - 1 });
    });
    return { wanted, records: findCandidates(list, wanted).filter(({ words }) => hasAll(words.split(" "), wanted)) };
  };
  const found = find({ isGoingOn: false, withTypos: false });
  if (isGoingOn && found.records.length < limit) addFound(found, find({ isGoingOn, withTypos: false }));
  if (found.records.length === 0) addFound(found, find({ isGoingOn, withTypos: true }));
  return found.records.length === 0 ? { hits: [], tie: false } : rankFound(found, limit);
}

interface Found {
  wanted: Wanted[];
  records: PremisesRecord[];
}

/** Adds the results of a wider search, whose words then count for both. */
function addFound(found: Found, wider: Found): void {
  const known = new Set(found.records.map(({ id }) => id));
  found.records.push(...wider.records.filter(({ id }) => !known.has(id)));
  found.wanted = wider.wanted;
}

function interpretWord(
  typed: string,
  vocabulary: Vocabulary,
  { withTypos, isUnfinished }: { withTypos: boolean; isUnfinished: boolean },
): Wanted {
  const word = findWord(typed);
  const beginnings = isUnfinished ? [typed, ...vocabulary.spelledFrom(typed)] : [];
  const typos = new Set(withTypos ? vocabulary.oneTypoAway(typed, isUnfinished) : []);
  const isBroad =
    (isUnfinished && typed.length < BROAD_LETTERS) ||
    [word, ...beginnings, ...typos].some((one) => vocabulary.shareOf(one) > BROAD_SHARE);
  return { word, beginnings, typos, isBroad };
}

/** Returns the candidates of the index; frequent words, which would scan half the list, are used only if needed. */
function findCandidates(list: PremisesReader, wanted: Wanted[]): PremisesRecord[] {
  const narrow = wanted.filter(({ isBroad }) => !isBroad);
  if (narrow.length > 0) {
    const found = list.findMatching(buildMatch(narrow), MAX_CANDIDATES);
    if (found.length < MAX_CANDIDATES) return found;
  }
  return list.findMatching(buildMatch(wanted), MAX_CANDIDATES);
}

/** Returns a full-text query. Words contain letters and digits only, so quotes need no escape. */
function buildMatch(wanted: Wanted[]): string {
  const alternatives = wanted.map(({ word, beginnings, typos }) => {
    const whole = [word, ...typos].filter((one) => !beginnings.includes(one)).map((one) => `"${one}"`);
    return `(${[...whole, ...beginnings.map((beginning) => `"${beginning}"*`)].join(" OR ")})`;
  });
  return alternatives.join(" AND ");
}

function hasAll(words: string[], wanted: Wanted[]): boolean {
  return wanted.every((one) => words.some((word) => isFitting(word, one)));
}

function isFitting(word: string, wanted: Wanted): boolean {
  return word === wanted.word || isBegun(word, wanted) || wanted.typos.has(word);
}

function isBegun(word: string, { beginnings }: Wanted): boolean {
  return beginnings.some((beginning) => word.startsWith(beginning));
}

/** Measures of a bad fit, the most important first. */
type Badness = [wrongHouse: number, typos: number, unfinished: number, more: number];

function rankFound({ records, wanted }: Found, limit: number): SearchResult {
  const scored = records.map((record) => ({ record, badness: computeBadness(record, wanted) }));
  scored.sort((a, b) => compareBadness(a.badness, b.badness) || (a.record.address < b.record.address ? -1 : 1));
  const tied = scored.filter(({ badness }) => compareBadness(badness, scored[0].badness) === 0).length;
  const given = scored.slice(0, Math.max(limit, Math.min(tied, MAX_TIED)));
  const hits = given.map(({ record: { words: _words, ...premises }, badness }) => ({ ...premises, typos: badness[1] }));
  return { hits, tie: tied > 1 };
}

function computeBadness({ words: text }: PremisesRecord, wanted: Wanted[]): Badness {
  const words = text.split(" ");
  const house = wanted.find(({ word }) => /\d/.test(word))?.word;
  const wrongHouse = house === undefined || words.find((word) => /\d/.test(word)) === house ? 0 : 1;
  let typos = 0;
  let unfinished = 0;
  for (const one of wanted) {
    if (words.includes(one.word)) continue;
    if (words.some((word) => isBegun(word, one))) unfinished++;
    else typos++;
  }
  return [wrongHouse, typos, unfinished, words.length > wanted.length ? 1 : 0];
}

function compareBadness(a: Badness, b: Badness): number {
  const at = a.findIndex((value, index) => value !== b[index]);
  return at < 0 ? 0 : a[at] - b[at];
}
