import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createCompute } from "@fellmark/compute";
import { buildIslandRequest, writeIsland } from "@fellmark/island";
import { createTempDir } from "@fellmark/testkit";
import { toErrorRecord } from "@fellmark/units";
import { afterAll, expect, test } from "vitest";
import { findExitCode } from "../output/error-text.ts";
import { createSilentProgress } from "../output/progress-bar.ts";
import { createProgram } from "../program.ts";

const folder = createTempDir();
const compute = createCompute();
afterAll(async () => {
  await compute.close();
  folder.remove();
});

/** Flips a bit of the first raster. */
function spoilTerrain(): void {
  const [name] = readdirSync(folder.path).filter((each) => /\.(tif|hgt)$/.test(each));
  const file = join(folder.path, name);
  const bytes = readFileSync(file);
  bytes[bytes.length - 1] ^= 1;
  writeFileSync(file, bytes);
}

test("terrain that changes between the id of a result and its computation is exit code 3, and leaves no result", async () => {
  await writeIsland(folder.path);
  const request = { ...buildIslandRequest(), quality: "preview", area: { radiusM: 1500, cellM: 30 } };
  writeFileSync(join(folder.path, "request.json"), JSON.stringify(request));
  const program = createProgram({
    config: { callerDir: folder.path, isTerminal: false },
    compute: {
      ...compute,
      cover: (task, limits) => {
        spoilTerrain();
        return compute.cover(task, limits);
      },
    },
    startProgress: createSilentProgress,
    reportSlips: () => undefined,
  });
  const run = program.parseAsync(["cover", "request.json", "--terrain", ".", "--out", "out"], { from: "user" });
  const record = await run.then(() => undefined, toErrorRecord);
  expect(record).toMatchObject({ code: "source_changed" });
  expect(record && findExitCode(record)).toBe(3);
  expect(readdirSync(join(folder.path, "out"))).toEqual([]);
});
