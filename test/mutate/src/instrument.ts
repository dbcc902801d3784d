import type { Mutant } from "./mutants.ts";

/** A mutant and the number that switches it on. */
export interface NumberedMutant extends Mutant {
  number: number;
}

/**
 * The source of a file with all of its mutants in it, each behind a switch that the tests' process turns (see
 * worker-setup.ts): a source is transformed once for all of them.
 * Example: `a + b` with mutant 7 becomes `(globalThis.isMutantOn(7) ? (a - b) : (a + b))`.
 */
export function instrument(source: string, mutants: readonly NumberedMutant[]): string {
  const widestFirst = [...mutants].sort((a, b) => a.start - b.start || b.end - a.end || a.number - b.number);
  return rewrite(source, { start: 0, end: source.length }, widestFirst);
}

interface Range {
  start: number;
  end: number;
}

/** The text of a range in which outer mutants hold inner ones. */
function rewrite(source: string, { start, end }: Range, inside: readonly NumberedMutant[]): string {
  if (inside.length === 0) return source.slice(start, end);
  const [first] = inside;
  const alike = inside.filter((mutant) => mutant.start === first.start && mutant.end === first.end);
  const within = inside.filter((mutant) => mutant.end <= first.end && !alike.includes(mutant));
  const after = inside.filter((mutant) => mutant.start >= first.end);
  const kept = rewrite(source, first, within);
  const switched = alike.reduce(
    (text, { number, replacement }) => `(globalThis.isMutantOn(${number}) ? (${replacement}) : ${text})`,
    `(${kept})`,
  );
  return source.slice(start, first.start) + switched + rewrite(source, { start: first.end, end }, after);
}
