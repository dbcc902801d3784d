import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { createSeededRandom } from "@fellmark/testkit";
import { instrument, type NumberedMutant } from "./instrument.ts";
import { listMutants, type Mutant } from "./mutants.ts";
import { openSession } from "./test-session.ts";

const ROOT = fileURLToPath(new URL("../../..", import.meta.url));

/** A sampled mutant and whether the tests told it from the source. */
export interface Verdict {
  mutant: Mutant;
  fate: "killed" | "survived" | "not reached";
}

export interface SampleOptions {
  count: number;
  seed: number;
  /** Only files whose path holds this text. */
  only: string;
}

/** Time that the tests of one mutant may take over that of all tests without one, and beside it, ms. */
const TIME_FACTOR = 3;
const EXTRA_TIME_MS = 30_000;

/** Tries a seeded sample of the mutants of a package, such as "packages/radio", on its fast tests. */
export async function mutatePackage(
  folder: string,
  options: SampleOptions,
  onVerdict: (verdict: Verdict) => void,
): Promise<Verdict[]> {
  const sample = sampleMutants(folder, options);
  const session = await openSession(folder, instrumentFiles(sample));
  try {
    const startedMs = performance.now();
    const reach = await session.findReach();
    if (reach === null) throw new Error(`the fast tests of ${folder} fail without a mutant`);
    const limitMs = TIME_FACTOR * (performance.now() - startedMs) + EXTRA_TIME_MS;
    const verdicts: Verdict[] = [];
    for (const mutant of sample) {
      const tests = listTestsOf(mutant, reach);
      const isKilled = tests.length > 0 && (await session.kills(mutant.number, tests, limitMs));
      const verdict: Verdict = { mutant, fate: isKilled ? "killed" : tests.length > 0 ? "survived" : "not reached" };
      onVerdict(verdict);
      verdicts.push(verdict);
    }
    return verdicts;
  } finally {
    await session.close();
  }
}

function sampleMutants(folder: string, { count, seed, only }: SampleOptions): NumberedMutant[] {
  const all = listSources(folder)
    .filter((file) => file.includes(only))
    .flatMap((file) => listMutants(file, readFileSync(join(ROOT, file), "utf8")));
  const random = createSeededRandom(seed);
  return all
    .map((mutant) => ({ mutant, place: random() }))
    .sort((a, b) => a.place - b.place)
    .slice(0, count)
    .map(({ mutant }, number) => ({ ...mutant, number }));
}

/** Sources of a package: neither tests nor what only tests use. */
function listSources(folder: string): string[] {
  return readdirSync(join(ROOT, folder, "src"), { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".ts") && !name.endsWith(".test.ts") && !/(^|\/)testing\//.test(name))
    .map((name) => join(folder, "src", name))
    .sort();
}

/** Sources with their mutants in them, by absolute path. */
function instrumentFiles(sample: readonly NumberedMutant[]): Map<string, string> {
  const files = new Set(sample.map(({ file }) => file));
  return new Map(
    [...files].map((file) => {
      const path = join(ROOT, file);
      const own = sample.filter((mutant) => mutant.file === file);
      return [path, instrument(readFileSync(path, "utf8"), own)];
    }),
  );
}

/** Test files that reach a mutant, those beside its source first. */
function listTestsOf(mutant: NumberedMutant, reach: ReadonlyMap<string, Set<number>>): string[] {
  const folder = dirname(join(ROOT, mutant.file));
  const tests = [...reach].filter(([, reached]) => reached.has(mutant.number)).map(([test]) => test);
  const isBeside = (test: string) => (dirname(test) === folder ? 0 : 1);
  return tests.sort((a, b) => isBeside(a) - isBeside(b));
}
