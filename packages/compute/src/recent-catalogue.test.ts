import { join } from "node:path";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, expect, test } from "vitest";
import { createRecentCatalogues } from "./recent-catalogue.ts";
import { writeTile } from "./testing/small-world.ts";

const folder = createTempDir();
afterAll(() => folder.remove());

test("a terrain folder is looked at again after a second, and whenever it could not be opened", async () => {
  let nowMs = 0;
  const catalogueOf = createRecentCatalogues(() => nowMs);
  const dir = join(folder.path, "terrain");
  await expect(catalogueOf(dir)).rejects.toThrow("there is no terrain folder");
  writeTile(dir);
  const first = await catalogueOf(dir);
  expect(first.files).toHaveLength(1);
  nowMs = 999;
  expect(await catalogueOf(dir)).toBe(first);
  writeTile(dir, () => true);
  nowMs = 1000;
  expect((await catalogueOf(dir)).fingerprint).not.toBe(first.fingerprint);
});
