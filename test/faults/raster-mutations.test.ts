import { execFile } from "node:child_process";
import { copyFileSync, readdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { createTempDir, needsShared, sharedDir } from "@fellmark/testkit";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type SmallTiff, smallTiff } from "./small-tiff.ts";

const main = fileURLToPath(new URL("./rasters/dist/main.js", import.meta.url));
const originals = createTempDir("fellmark-rasters-");
afterAll(() => originals.remove());

const SEEDS = [1, 501, 1001, 1501];
const MUTANTS_PER_SEED = 500;
const MAX_MS = 5000;
const MAX_RSS_KB = 256 * 1024;

/** A slope of 300 to 500 m in three storage forms. */
const SLOPE: SmallTiff = { west: -39.5, north: 20.5, step: 0.001, side: 120, height: (x) => 300 + (x + 39.5) * 1000 };
const OWN: Record<string, SmallTiff> = {
  "int16-deflate.tif": { ...SLOPE, sample: "int16", noData: "0" },
  "float32-deflate.tif": { ...SLOPE, noData: "-9999" },
  "utm-deflate.tif": { ...SLOPE, epsg: 32632, west: 500_000, north: 5_000_000, step: 30, height: () => 400 },
};

/** Lines that the child prints before and after each mutant. */
interface Line {
  seed: number;
  file: string;
  kind: string;
  changedTags: number[];
  outcome?: string;
  reason: string;
  ms: number;
  newZeros: number;
  cells: number;
  rssKb: number;
}

beforeAll(() => {
  for (const [name, spec] of Object.entries(OWN)) writeFileSync(path.join(originals.path, name), smallTiff(spec));
  if (!needsShared()) return;
  const variants = path.join(sharedDir, "terrain", "variants");
  for (const name of readdirSync(variants).filter((each) => each.startsWith("crop_") && each.endsWith(".tif"))) {
    copyFileSync(path.join(variants, name), path.join(originals.path, name));
  }
});

/** Reads mutants in a process of its own. A process that hangs ends here with the seed of its last mutant. */
function readMutants(seed: number): Promise<Line[]> {
  const args = [main, originals.path, String(seed), String(MUTANTS_PER_SEED)];
  return new Promise((resolve, reject) => {
    execFile(process.execPath, args, { timeout: 100_000, maxBuffer: 2 ** 26 }, (error, stdout) => {
      const lines = stdout.trimEnd().split("\n");
      if (error) reject(new Error(`ended at ${lines.at(-1)}`, { cause: error }));
      else resolve(pairLines(lines.map((line) => JSON.parse(line) as Line)));
    });
  });
}

function pairLines(lines: Line[]): Line[] {
  return lines.flatMap((line, at) => (line.outcome === undefined ? [] : [{ ...lines[at - 1], ...line }]));
}

test("2,000 mutants of rasters are refused, or read within 5 s and 256 MB, never as zeros (F20, F21, F23 to F25)", async () => {
  const mutants: Line[] = [];
  for (let at = 0; at < SEEDS.length; at += 2) {
    mutants.push(...(await Promise.all(SEEDS.slice(at, at + 2).map(readMutants))).flat());
  }
  const slowest = mutants.reduce((one, other) => (other.ms > one.ms ? other : one));
  const largest = mutants.reduce((one, other) => (other.rssKb > one.rssKb ? other : one));
  const count = (outcome: string) => mutants.filter((mutant) => mutant.outcome === outcome).length;
  console.log(
    `seeds ${SEEDS.join(", ")}, ${MUTANTS_PER_SEED} mutants each: ${count("refused")} refused, ` +
      `${count("unreadable")} with a typed error, ${count("read")} read; ` +
      `worst time ${Math.round(slowest.ms)} ms (seed ${slowest.seed}), ` +
      `worst memory ${Math.round(largest.rssKb / 1024)} MB (seed ${largest.seed})`,
  );
  expect(mutants).toHaveLength(SEEDS.length * MUTANTS_PER_SEED);
  expect(mutants.filter(({ outcome }) => outcome === "untyped error")).toEqual([]);
  expect(mutants.filter(({ outcome, reason }) => outcome !== "read" && reason === "")).toEqual([]);
  expect(slowest.ms).toBeLessThanOrEqual(MAX_MS);
  expect(largest.rssKb).toBeLessThanOrEqual(MAX_RSS_KB);
  expect(count("read")).toBeGreaterThan(100);
  expect(mutants.filter(hasUnexplainedZeros)).toEqual([]);
});

/** Tag of the predictor; without it stored differences are a valid raster of small heights. Source: TIFF 6.0, section 14. */
const PREDICTOR = 317;

/**
 * True where cells of a mutant became 0 m although a checksum covers them. Plain bytes and the codecs without one may
 * give a few zeros where bytes were changed or shifted, and no checksum covers the predictor.
 */
function hasUnexplainedZeros({ file, newZeros, cells, changedTags }: Line): boolean {
  if (changedTags.includes(PREDICTOR)) return false;
  const hasChecksum = !/none|bigendian|packbits|lzw|zstd|nan_nodata/.test(file);
  return newZeros > (hasChecksum ? 0 : cells * 0.05);
}
