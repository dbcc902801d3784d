import { writeFile } from "node:fs/promises";
import { parseArgs } from "node:util";
import { mutatePackage, type SampleOptions, type Verdict } from "./mutate-package.ts";
import { findReason, readSurvivors } from "./survivors.ts";

/** Packages whose numbers people rely on. */
const PACKAGES = ["sweep", "coverage", "answers", "radio", "propagation", "jobs", "ledger"].map(
  (name) => `packages/${name}`,
);

/** Share of a package's sampled mutants that its fast tests must kill. */
const LEAST_KILLED = 0.85;

const SURVIVORS = readSurvivors();

/** Exit codes: 0 enough mutants killed in each package, 1 too few in one. */
async function main(words: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args: words,
    options: {
      n: { type: "string", default: "40" },
      seed: { type: "string", default: "1" },
      only: { type: "string", default: "" },
      json: { type: "string" },
    },
    allowPositionals: true,
  });
  const options: SampleOptions = { count: Number(values.n), seed: Number(values.seed), only: values.only };
  const folders = positionals.length > 0 ? positionals.map((name) => name.replace(/\/+$/, "")) : PACKAGES;
  const reports = [];
  for (const folder of folders) {
    const verdicts = await mutatePackage(folder, options, printSurvivor);
    reports.push(printSummary(folder, verdicts));
  }
  if (values.json) await writeFile(values.json, JSON.stringify({ version: 1, ...options, packages: reports }, null, 2));
  return reports.every(({ killedShare }) => killedShare >= LEAST_KILLED) ? 0 : 1;
}

function printSurvivor({ mutant, fate }: Verdict): void {
  if (fate === "killed") return;
  const { file, line, original, replacement } = mutant;
  const reason = findReason(SURVIVORS, mutant);
  process.stdout.write(`${file}:${line}  ${oneLine(original)}  ->  ${oneLine(replacement)}\n`);
  process.stdout.write(`    ${reason === null ? `${fate}: no reason listed` : `survived: ${reason}`}\n`);
}

function printSummary(folder: string, verdicts: readonly Verdict[]) {
  const killed = verdicts.filter(({ fate }) => fate === "killed").length;
  const killedShare = killed / verdicts.length;
  process.stdout.write(
    `${folder}: ${killed} of ${verdicts.length} mutants killed (${(100 * killedShare).toFixed(1)} %)\n`,
  );
  return { folder, killed, killedShare, verdicts };
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, " ");
}

process.exitCode = await main(process.argv.slice(2));
