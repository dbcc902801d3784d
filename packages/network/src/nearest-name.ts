/** Most letters that may be wrong in a name that is still recognised, as a share of its length. */
const MAX_WRONG_SHARE = 0.4;

/**
 * Returns the name that needs the fewest letters changed, added or left out; undefined where none is near.
 * @example findNearestName("covr", ["cover", "compare"]) // "cover"
 */
export function findNearestName(word: string, names: readonly string[]): string | undefined {
  const [nearest] = names
    .map((name) => ({ name, distance: countEdits(word.toLowerCase(), name.toLowerCase()) }))
    .filter(({ name, distance }) => distance <= MAX_WRONG_SHARE * Math.max(name.length, word.length))
    .sort((a, b) => a.distance - b.distance);
  return nearest?.name;
}

/** The Levenshtein distance of two words, row by row. */
function countEdits(from: string, to: string): number {
  let row = Array.from({ length: to.length + 1 }, (_, index) => index);
  for (const [index, letter] of [...from].entries()) {
    const next = [index + 1];
    for (const [column, other] of [...to].entries()) {
      const replaced = row[column] + (letter === other ? 0 : 1);
      next.push(Math.min(replaced, row[column + 1] + 1, next[column] + 1));
    }
    row = next;
  }
  return row[to.length];
}
