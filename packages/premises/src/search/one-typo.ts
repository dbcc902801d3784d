/**
 * True where two words differ by one typing error: a letter too many, too few or wrong, or two neighbours exchanged.
 * Source: F. J. Damerau, Comm. ACM 7 (1964), "A technique for computer detection and correction of spelling errors".
 * @example isOneTypoAway("maple", "mapel") // true
 */
export function isOneTypoAway(a: string, b: string): boolean {
  if (a === b || Math.abs(a.length - b.length) > 1) return false;
  const at = findFirstDifference(a, b);
  return isRestOneTypoAway(a, at, b, at, b.length);
}

/** True where a beginning of the word differs from the typed text by one typing error. */
export function isBeginningOneTypoAway(word: string, typed: string): boolean {
  const at = findFirstDifference(word, typed);
  if (at === typed.length) return true;
  const lengths = [typed.length - 1, typed.length, typed.length + 1];
  return lengths.some(
    (length) => length >= at && length <= word.length && isRestOneTypoAway(typed, at, word, at, length),
  );
}

function findFirstDifference(a: string, b: string): number {
  const shorter = Math.min(a.length, b.length);
  let at = 0;
  while (at < shorter && a.charCodeAt(at) === b.charCodeAt(at)) at++;
  return at;
}

/** True where a from `i` on and b[j..end) differ by one typing error at this place. */
function isRestOneTypoAway(a: string, i: number, b: string, j: number, end: number): boolean {
  const left = a.length - i;
  const right = end - j;
  if (left === right + 1) return isRestEqual(a, i + 1, b, j, end);
  if (right === left + 1) return isRestEqual(a, i, b, j + 1, end);
  if (left !== right) return false;
  if (isRestEqual(a, i + 1, b, j + 1, end)) return true;
  const isExchanged = left >= 2 && a[i] === b[j + 1] && a[i + 1] === b[j];
  return isExchanged && isRestEqual(a, i + 2, b, j + 2, end);
}

function isRestEqual(a: string, i: number, b: string, j: number, end: number): boolean {
  if (a.length - i !== end - j) return false;
  for (let offset = 0; j + offset < end; offset++) {
    if (a.charCodeAt(i + offset) !== b.charCodeAt(j + offset)) return false;
  }
  return true;
}
