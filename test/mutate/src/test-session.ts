import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { BaseSequencer, createVitest, type TestSpecification, type Vitest } from "vitest/node";

const ROOT = fileURLToPath(new URL("../../..", import.meta.url));
const WORKER_SETUP = fileURLToPath(new URL("../src/worker-setup.ts", import.meta.url));

/** Vitest over the fast tests of one package, with sources that are read from `sources` instead of the disk. */
export interface TestSession {
  /**
   * Runs all tests with no mutant on. Returns the tests' files with the numbers they reach, or null where one fails.
   */
  findReach(): Promise<Map<string, Set<number>> | null>;
  /** True where a test of these files fails with the mutant on, or they take longer than the limit. */
  kills(mutant: number, testFiles: readonly string[], limitMs: number): Promise<boolean>;
  close(): Promise<void>;
}

export async function openSession(folder: string, sources: ReadonlyMap<string, string>): Promise<TestSession> {
  let vitest = await startVitest(folder, sources, true);
  const restart = async (isolate: boolean) => {
    void vitest.close();
    vitest = await startVitest(folder, sources, isolate);
  };
  return {
    async findReach() {
      const scratch = mkdtempSync(join(tmpdir(), "mutate-"));
      const reachFile = join(scratch, "reach");
      writeFileSync(reachFile, "");
      const hasFailed = await runTests(vitest, { mutant: -1, reachFile });
      const lines = readFileSync(reachFile, "utf8").split("\n").filter(Boolean);
      rmSync(scratch, { recursive: true });
      await restart(false);
      return hasFailed ? null : readReach(lines);
    },

    async kills(mutant, testFiles, limitMs) {
      const run = runTests(vitest, { mutant, reachFile: "" }, testFiles);
      const death = watchWorkers();
      const verdict = await Promise.race([run, waitFor(limitMs), death.met]);
      death.forget();
      if (verdict === undefined) await restart(false);
      return verdict ?? true;
    },

    async close() {
      await vitest.close();
    },
  };
}

/** Test files run as they are listed: the likeliest to fail first. */
class GivenOrder extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    return files;
  }
}

async function startVitest(folder: string, sources: ReadonlyMap<string, string>, isolate: boolean): Promise<Vitest> {
  const options = {
    config: false as const,
    root: ROOT,
    watch: false,
    isolate,
    pool: "threads" as const,
    maxWorkers: 1,
    bail: 1,
    include: [`${folder}/src/**/*.test.ts`],
    exclude: ["**/*.slow.test.ts"],
    setupFiles: [WORKER_SETUP],
    testTimeout: 20_000,
    reporters: [{}],
    sequence: { sequencer: GivenOrder },
    silent: true,
  };
  return createVitest("test", options, {
    plugins: [
      {
        name: "mutants",
        enforce: "pre",
        transform: (_, id) => {
          const code = sources.get(id);
          return code === undefined ? undefined : { code, map: null };
        },
      },
    ],
    resolve: { alias: [{ find: /^@fellmark\/([a-z]+)$/, replacement: join(ROOT, "packages/$1/src/index.ts") }] },
  });
}

/** Runs the tests and says whether one failed. */
async function runTests(
  vitest: Vitest,
  provided: { mutant: number; reachFile: string },
  testFiles?: readonly string[],
): Promise<boolean> {
  const project = vitest.getRootProject();
  project.provide("mutant", provided.mutant);
  project.provide("reachFile", provided.reachFile);
  const all = await vitest.globTestSpecifications();
  const wanted = testFiles?.map((file) => all.find(({ moduleId }) => moduleId === file));
  const specifications = (wanted ?? all).filter((found): found is TestSpecification => found !== undefined);
  const { testModules, unhandledErrors } = await vitest.runTestSpecifications(specifications);
  return unhandledErrors.length > 0 || testModules.some((module) => !module.ok());
}

function readReach(lines: readonly string[]): Map<string, Set<number>> {
  return new Map(
    lines.map((line) => {
      const { test, reached } = JSON.parse(line) as { test: string; reached: number[] };
      return [test, new Set(reached)];
    }),
  );
}

/** Resolves when a mutant ends the thread of the tests, which is no failure of a test and would end the whole run. */
function watchWorkers(): { met: Promise<undefined>; forget: () => void } {
  let note = () => {};
  const met = new Promise<undefined>((resolve) => {
    note = () => resolve(undefined);
  });
  process.once("uncaughtException", note);
  return { met, forget: () => process.off("uncaughtException", note) };
}

function waitFor(ms: number): Promise<undefined> {
  return new Promise((resolve) => {
    setTimeout(resolve, ms, undefined).unref();
  });
}
