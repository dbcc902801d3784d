import { appendFileSync } from "node:fs";
import { afterAll, expect, inject } from "vitest";

declare module "vitest" {
  export interface ProvidedContext {
    /** Number of the mutant that is on; none: -1. */
    mutant: number;
    /** File that takes, a line per test file, the mutants that it reaches; none: empty. */
    reachFile: string;
  }
}

/** Evaluations of one mutant after which its loop is taken for endless. */
const MOST_EVALUATIONS = 20_000_000;

const mutant = inject("mutant");
const reached = new Set<number>();
let evaluations = 0;

function isMutantOn(number: number): boolean {
  reached.add(number);
  if (number !== mutant) return false;
  if (++evaluations > MOST_EVALUATIONS) throw new Error("the mutant does not end");
  return true;
}

Object.assign(globalThis, { isMutantOn });

afterAll(() => {
  const reachFile = inject("reachFile");
  if (reachFile === "") return;
  appendFileSync(reachFile, `${JSON.stringify({ test: expect.getState().testPath, reached: [...reached] })}\n`);
});
