import { fork } from "node:child_process";
import { once } from "node:events";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildLevels, encodeRaster } from "@fellmark/layers";
import { createTempDir } from "@fellmark/testkit";
import type { BenchResult } from "./report.ts";
import { tierScene } from "./tier-scene.ts";

/** Cells of 13.5 m along 100 km, at zoom 13 and 45 degrees. */
const SIZE = 7407;
/** The scene is drawn in blocks of this size and repeated: noise of the whole would take 10 GB. */
const BLOCK = 2469;
const TARGET_S = 30;
const TARGET_MB = 300;

/** Reply of the process that packs the archive. */
export interface PackedArchive {
  seconds: number;
  bytes: number;
  peakBytes: number;
}

/** The archive of a layer of 100 km x 100 km at zoom 13, made by a process of its own, whose memory counts. */
export async function measureArchive(seed: number): Promise<BenchResult[]> {
  const dir = createTempDir("fellmark-bench-");
  try {
    const file = join(dir.path, "classes.bin");
    await writeFile(file, await drawLargeScene(seed));
    const child = fork(fileURLToPath(new URL("pack-archive.js", import.meta.url)), [file]);
    const [reply] = (await once(child, "message")) as [PackedArchive];
    const { seconds, bytes, peakBytes } = reply;
    const megabytes = peakBytes / 1e6;
    const row = { n: 1, min: seconds, max: seconds };
    const check = {
      what: `MB of memory for an archive of ${(bytes / 1e6).toFixed(1)} MB`,
      value: megabytes,
      limit: TARGET_MB,
      pass: megabytes <= TARGET_MB,
    };
    const pass = seconds <= TARGET_S && check.pass;
    return [
      { id: "layer-archive", value: seconds, unit: "s", ...row, cells: SIZE * SIZE, target: TARGET_S, pass, check },
    ];
  } finally {
    dir.remove();
  }
}

async function drawLargeScene(seed: number): Promise<Buffer> {
  const { plans, window, classes } = tierScene(BLOCK, seed);
  const large = new Uint8Array(SIZE * SIZE);
  for (let row = 0; row < SIZE; row++) {
    const from = (row % BLOCK) * BLOCK;
    for (let column = 0; column < SIZE; column += BLOCK) {
      large.set(classes.subarray(from, from + BLOCK), row * SIZE + column);
    }
  }
  const levels = buildLevels({ ...window, zoom: 13, width: SIZE, height: SIZE }, large);
  return encodeRaster({ plans, levels });
}
