import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { createSeededRandom } from "@fellmark/testkit";
import { type Examination, examine } from "./examine.ts";
import { mutate } from "./mutate.ts";

/** Reads mutants of the rasters of a folder: `main.js FOLDER SEED COUNT`. Prints a line before and after each. */
async function main(folder: string, seed: number, count: number): Promise<void> {
  const names = readdirSync(folder).filter((name) => name.endsWith(".tif"));
  const originals = names.map((name) => readFileSync(path.join(folder, name)));
  const references = new Map<number, Examination>();
  for (let at = 0; at < count; at++) {
    const random = createSeededRandom(seed + at);
    const which = Math.floor(random() * names.length);
    const original = originals[which] as Buffer;
    if (!references.has(which)) references.set(which, await inFolder(original));
    const mutant = mutate(original, random);
    print({ seed: seed + at, file: names[which], kind: mutant.kind, changedTags: mutant.changedTags });
    const started = performance.now();
    const { outcome, reason, cells } = await inFolder(mutant.bytes);
    const ms = performance.now() - started;
    const newZeros = countNewZeros((references.get(which) as Examination).cells, cells);
    print({
      seed: seed + at,
      outcome,
      reason,
      ms,
      newZeros,
      cells: cells.length,
      rssKb: process.resourceUsage().maxRSS,
    });
  }
}

/** Examines a raster in a folder of its own. */
async function inFolder(bytes: Buffer): Promise<Examination> {
  const folder = mkdtempSync(path.join(tmpdir(), "fellmark-mutant-"));
  try {
    writeFileSync(path.join(folder, "a.tif"), bytes);
    return await examine(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Cells of 0 m beyond those of the sound raster. */
function countNewZeros(reference: Float32Array, cells: Float32Array): number {
  const countZeros = (values: Float32Array) => values.reduce((count, value) => count + (value === 0 ? 1 : 0), 0);
  return Math.max(0, countZeros(cells) - countZeros(reference));
}

function print(line: object): void {
  process.stdout.write(`${JSON.stringify(line)}\n`);
}

const [folder, seed, count] = process.argv.slice(2);
await main(folder as string, Number(seed), Number(count));
