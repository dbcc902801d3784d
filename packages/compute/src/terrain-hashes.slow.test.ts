import { readFileSync, realpathSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, expect, test } from "vitest";
import { createCompute } from "./create-compute.ts";
import { noteHashes } from "./terrain-hashes.ts";
import { TILE, writeTile } from "./testing/small-world.ts";

const dir = createTempDir();
const computes = [createCompute(), createCompute()];
afterAll(async () => {
  await Promise.all(computes.map((compute) => compute.close()));
  dir.remove();
});

const limits = { deadlineMs: 30_000 };
const readFingerprints = () =>
  Promise.all(
    computes.map(async (compute) => {
      const { fingerprint } = await compute.terrainState(dir.path, limits);
      return fingerprint;
    }),
  );

test("children use the hash that another child has made for as long as the file is the same", async () => {
  writeTile(dir.path);
  const [own] = await readFingerprints();
  const file = join(realpathSync(dir.path), TILE.name);

  // A hash that no child would make shows whether it is used.
  const fresh = createCompute();
  computes.push(fresh);
  const { size, mtimeMs, ctimeMs, ino } = statSync(file);
  const identity = { sizeBytes: size, mtimeMs, ctimeMs, inode: ino };
  noteHashes([{ path: file, identity, sha256: "0".repeat(64) }]);
  expect((await fresh.terrainState(dir.path, limits)).fingerprint).not.toBe(own);

  writeFileSync(file, readFileSync(file));
  expect(new Set(await readFingerprints())).toEqual(new Set([own]));
});
