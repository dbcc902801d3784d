import type { PremisesReader, PremisesRecord } from "@fellmark/ledger";
import { plainWords } from "../address/address-words.ts";
import type { Premises } from "../premises.ts";
import { type Vocabulary, wordOf } from "./vocabulary.ts";

export interface SearchOptions {
  /** The last word may go on: as you type. */
  isTyping: boolean;
  limit: number;
}

export interface SearchHit extends Premises {
  /** Words of the query that fit only with a typo. */
  typos: number;
}

export interface SearchResult {
  /** Best first; none: no such address is known. */
  hits: SearchHit[];
  /** Whether more than one is equally good: then nothing says which is meant, and all of these are given. */
  tie: boolean;
}

export const MAX_QUERY_CHARS = 200;
const MAX_QUERY_WORDS = 16;

/** Addresses that a query may find before they are ranked. */
const MAX_CANDIDATES = 200;

/** Addresses that are equally good are all given, up to this many. */
const MAX_TIED = 50;

/** Share of all addresses that have a word above which it is looked at only in what the other words have found. */
const BROAD_SHARE = 0.02;

/** Letters of a word being typed below which it is as broad. */
const BROAD_LETTERS = 3;

/** What one typed word may stand for: the word itself, what it may become, words with a typo. */
interface Wanted {
  word: string;
  /** Words begin with one of these; empty for a word that is complete. */
  beginnings: string[];
  typos: ReadonlySet<string>;
  isBroad: boolean;
}

/**
 * Addresses that have every word of the query. Words with a typo are looked for only where the words as typed find
 * nothing; house numbers and all words with a digit must be exact.
 */
export function searchAddresses(
  list: PremisesReader,
  vocabulary: Vocabulary,
  query: string,
  { isTyping, limit }: SearchOptions,
): SearchResult {
  const typed = plainWords(query.slice(0, MAX_QUERY_CHARS)).slice(0, MAX_QUERY_WORDS);
  if (typed.length === 0) return { hits: [], tie: false };
  const isGoingOn = isTyping && !/\s$/.test(query);
  const find = (how: { isGoingOn: boolean; withTypos: boolean }): Found => {
    const wanted = typed.map((word, index) => {
      return wantedBy(word, vocabulary, { ...how, isUnfinished: how.isGoingOn && index === typed.length - 1 });
    });
    return { wanted, records: candidates(list, wanted).filter(({ words }) => hasAll(words.split(" "), wanted)) };
  };
  const found = find({ isGoingOn: false, withTypos: false });
  if (isGoingOn && found.records.length < limit) addFound(found, find({ isGoingOn, withTypos: false }));
  if (found.records.length === 0) addFound(found, find({ isGoingOn, withTypos: true }));
  return found.records.length === 0 ? { hits: [], tie: false } : ranked(found, limit);
}

interface Found {
  wanted: Wanted[];
  records: PremisesRecord[];
}

/** Adds what a wider search has found; its words then stand for both. */
function addFound(found: Found, wider: Found): void {
  const known = new Set(found.records.map(({ id }) => id));
  found.records.push(...wider.records.filter(({ id }) => !known.has(id)));
  found.wanted = wider.wanted;
}

function wantedBy(
  typed: string,
  vocabulary: Vocabulary,
  { withTypos, isUnfinished }: { withTypos: boolean; isUnfinished: boolean },
): Wanted {
  const word = wordOf(typed);
  const beginnings = isUnfinished ? [typed, ...vocabulary.spelledFrom(typed)] : [];
  const typos = new Set(withTypos ? vocabulary.oneTypoAway(typed, isUnfinished) : []);
  const isBroad =
    (isUnfinished && typed.length < BROAD_LETTERS) ||
    [word, ...beginnings, ...typos].some((one) => vocabulary.shareOf(one) > BROAD_SHARE);
  return { word, beginnings, typos, isBroad };
}

/** What the index finds; the broad words, which would make it walk through half the list, only where they are needed. */
function candidates(list: PremisesReader, wanted: Wanted[]): PremisesRecord[] {
  const narrow = wanted.filter(({ isBroad }) => !isBroad);
  if (narrow.length > 0) {
    const found = list.matching(matchOf(narrow), MAX_CANDIDATES);
    if (found.length < MAX_CANDIDATES) return found;
  }
  return list.matching(matchOf(wanted), MAX_CANDIDATES);
}

/** A full-text query. Words hold letters and digits only, so quotes need no escape. */
function matchOf(wanted: Wanted[]): string {
  const alternatives = wanted.map(({ word, beginnings, typos }) => {
    const whole = [word, ...typos].filter((one) => !beginnings.includes(one)).map((one) => `"${one}"`);
    return `(${[...whole, ...beginnings.map((beginning) => `"${beginning}"*`)].join(" OR ")})`;
  });
  return alternatives.join(" AND ");
}

function hasAll(words: string[], wanted: Wanted[]): boolean {
  return wanted.every((one) => words.some((word) => fits(word, one)));
}

function fits(word: string, wanted: Wanted): boolean {
  return word === wanted.word || isBegun(word, wanted) || wanted.typos.has(word);
}

function isBegun(word: string, { beginnings }: Wanted): boolean {
  return beginnings.some((beginning) => word.startsWith(beginning));
}

/** How badly an address fits, the most important first. */
type Badness = [wrongHouse: number, typos: number, unfinished: number, more: number];

function ranked({ records, wanted }: Found, limit: number): SearchResult {
  const scored = records.map((record) => ({ record, badness: badnessOf(record, wanted) }));
  scored.sort((a, b) => compared(a.badness, b.badness) || (a.record.address < b.record.address ? -1 : 1));
  const tied = scored.filter(({ badness }) => compared(badness, scored[0].badness) === 0).length;
  const given = scored.slice(0, Math.max(limit, Math.min(tied, MAX_TIED)));
  const hits = given.map(({ record: { words: _words, ...premises }, badness }) => ({ ...premises, typos: badness[1] }));
  return { hits, tie: tied > 1 };
}

function badnessOf({ words: text }: PremisesRecord, wanted: Wanted[]): Badness {
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

function compared(a: Badness, b: Badness): number {
  const at = a.findIndex((value, index) => value !== b[index]);
  return at < 0 ? 0 : a[at] - b[at];
}
