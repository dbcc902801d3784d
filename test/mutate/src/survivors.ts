import { readFileSync } from "node:fs";
import type { Mutant } from "./mutants.ts";

/** A mutant that may survive, and why no test tells it from the source. */
export interface Survivor {
  file: string;
  /** Text of its line, without the space around it. */
  lineText: string;
  original: string;
  replacement: string;
  reason: string;
}

const SURVIVORS = new URL("../survivors.json", import.meta.url);

export function readSurvivors(): Survivor[] {
  return JSON.parse(readFileSync(SURVIVORS, "utf8")) as Survivor[];
}

/** Reason why a mutant may survive, or null where none is listed. */
export function findReason(survivors: readonly Survivor[], mutant: Mutant): string | null {
  const found = survivors.find(
    ({ file, lineText, original, replacement }) =>
      file === mutant.file &&
      lineText === mutant.lineText &&
      original === mutant.original &&
      replacement === mutant.replacement,
  );
  return found?.reason ?? null;
}
