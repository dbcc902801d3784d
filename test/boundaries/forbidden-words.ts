/** Wordings that no text for people uses, each with what to say instead. */
const FORBIDDEN_WORDINGS: readonly { wording: RegExp; instead: string }[] = [
  { wording: /\b(hears?|heard)\b/i, instead: "receives" },
  { wording: /\bcarr(y|ies)\b/i, instead: "capacity, transmits" },
  { wording: /\bwould do\b/i, instead: "is enough" },
  { wording: /(?<!there )\b(is|are) no (?!longer|better|more|higher|sub)[a-z]+/i, instead: "is not a" },
  { wording: /\bthere (is|are) no such\b/i, instead: "not found: no such" },
  { wording: /\bstands? (over|around)\b/i, instead: "rises above, near" },
  { wording: /\bwhat stands\b/i, instead: "trees and buildings" },
  { wording: /\bworst tenth\b/i, instead: "10th percentile" },
  { wording: /\b(seams?|kits?|strangers?)\b/i, instead: "co-channel overlap, CPE, external emitter" },
  { wording: /\bby and large\b/i, instead: "in general" },
  { wording: /\b(nobody|somebody|whom)\b/i, instead: "name the subject" },
  { wording: /\b(held by|legal)\b/i, instead: "limited by" },
  { wording: /\b(sure to hold|holds with probability)\b/i, instead: "NN % chance" },
  { wording: /\blearnt\b/i, instead: "calibration" },
  { wording: /\b(in sight|is not free)\b/i, instead: "line of sight, obstructed" },
  { wording: /\bcomes? back\b/i, instead: "returns" },
  { wording: /\bone typo a word\b/i, instead: "one typing error per word" },
  { wording: /\bjoint plan\b/i, instead: "channel plan" },
  { wording: /\bdrawn in\b/i, instead: "included" },
];

/** Texts of a source file that people may read: literals with two spaces or more, without their placeholders. */
export function listTexts(source: string): string[] {
  const code = source.replaceAll(/^\s*(\/\/|\/?\*).*$/gm, "");
  const literals = code.matchAll(/"((?:[^"\\\n]|\\.)*)"|`((?:[^`\\]|\\.)*)`/g);
  return Array.from(literals, ([, plain, template]) => plain ?? template.replaceAll(/\$\{[^}]*\}/g, "X")).filter(
    (text) => text.split(" ").length > 2,
  );
}

/** Titles of the tests in a file. */
export function listTitles(source: string): string[] {
  const titles = source.matchAll(/^\s*(?:it|test|describe)\b[^"`\n]*\(\s*["`]([^"`]+)["`]/gm);
  return Array.from(titles, ([, title]) => title.replaceAll(/\$\{[^}]*\}/g, "X"));
}

/** Every forbidden wording in a text, with what to say instead. */
export function findForbidden(text: string): string[] {
  return FORBIDDEN_WORDINGS.flatMap(({ wording, instead }) => {
    const found = wording.exec(text);
    return found ? [`"${found[0]}" (say: ${instead}) in: ${text.slice(0, 120)}`] : [];
  });
}
