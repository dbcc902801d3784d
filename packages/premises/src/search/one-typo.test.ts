import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isBeginningOneTypoAway, isOneTypoAway } from "./one-typo.ts";

/** Every word that one typo with the letters a, b, c makes of a word: the definition, spelled out. */
function typosOf(word: string): Set<string> {
  const made = new Set<string>();
  for (let at = 0; at <= word.length; at++) {
    const [before, after] = [word.slice(0, at), word.slice(at)];
    for (const letter of "abc") made.add(before + letter + after).add(before + letter + after.slice(1));
    if (after !== "") made.add(before + after.slice(1));
    if (after.length > 1) made.add(before + after[1] + after[0] + after.slice(2));
  }
  made.delete(word);
  return made;
}

const word = fc.string({ unit: fc.constantFrom("a", "b", "c"), minLength: 1, maxLength: 6 });

describe("one typo", () => {
  it.each([
    ["maple", "mapel", true],
    ["maple", "maple", false],
    ["maple", "mple", true],
    ["maple", "mappel", false],
    ["ab", "ba", true],
  ])("%s and %s: %s", (a, b, isTypo) => {
    expect(isOneTypoAway(a, b)).toBe(isTypo);
  });

  it("agrees with the list of all words that one typo makes", () => {
    fc.assert(
      fc.property(word, word, (a, b) => {
        expect(isOneTypoAway(a, b)).toBe(typosOf(a).has(b));
      }),
      { numRuns: 2000 },
    );
  });

  it("agrees for beginnings with trying each of them", () => {
    fc.assert(
      fc.property(word, word, (whole, typed) => {
        const beginnings = Array.from(whole, (_letter, index) => whole.slice(0, index + 1));
        const expected = beginnings.some((one) => one === typed || typosOf(typed).has(one));
        expect(isBeginningOneTypoAway(whole, typed)).toBe(expected);
      }),
      { numRuns: 2000 },
    );
  });
});
