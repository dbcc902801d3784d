import { readFileSync, renameSync, rmSync, statSync, truncateSync, utimesSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { TerrainError } from "@fellmark/units";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { runOverPinnedTerrain } from "./pinned-terrain.ts";
import { TILE, writeTile } from "./testing/small-world.ts";

let folder: TempDir;
let terrainDir: string;
let tile: string;

beforeEach(() => {
  folder = createTempDir();
  terrainDir = join(folder.path, "terrain");
  writeTile(terrainDir);
  tile = join(terrainDir, TILE.name);
});
afterEach(() => folder.remove());

async function fingerprint(): Promise<string> {
  return runOverPinnedTerrain({ terrainDir }, async (catalogue) => catalogue.fingerprint);
}

/** One height in the middle is another; size and time of the file stay the same. */
function replaceSecretly(): void {
  const { atime, mtime } = statSync(tile);
  const heights = readFileSync(tile);
  heights.writeInt16BE(999, heights.length / 2);
  writeFileSync(tile, heights);
  utimesSync(tile, atime, mtime);
}

const spoilings: [string, () => void][] = [
  ["is gone", () => rmSync(tile)],
  ["is half copied", () => truncateSync(tile, 1_000_000)],
  ["was replaced by one of the same size and time", replaceSecretly],
  ["lies in a folder that was moved", () => renameSync(terrainDir, join(folder.path, "elsewhere"))],
];

describe("work over the terrain of a task", () => {
  it("is done over the terrain that the task was accepted over", async () => {
    const terrainFingerprint = await fingerprint();
    const work = async () => "done";
    expect(await runOverPinnedTerrain({ terrainDir, terrainFingerprint }, work)).toBe("done");
  });

  it.each(spoilings)("never begins when a tile %s", async (_what, spoil) => {
    const pin = { terrainDir, terrainFingerprint: await fingerprint() };
    spoil();
    let hasBegun = false;
    const work = async () => {
      hasBegun = true;
    };
    await expect(runOverPinnedTerrain(pin, work)).rejects.toMatchObject({ code: "source_changed" });
    expect(hasBegun).toBe(false);
  });

  it.each(spoilings)("has no result when a tile %s meanwhile (F22)", async (_what, spoil) => {
    await expect(runOverPinnedTerrain({ terrainDir }, async () => spoil())).rejects.toMatchObject({
      code: "source_changed",
    });
  });

  it.each(spoilings)("says nothing of the mast when a tile %s meanwhile", async (_what, spoil) => {
    const work = async () => {
      spoil();
      throw new TerrainError("mast_not_known", "no elevation at the mast");
    };
    await expect(runOverPinnedTerrain({ terrainDir }, work)).rejects.toMatchObject({ code: "source_changed" });
  });

  it("fails as it does where the terrain stayed the same", async () => {
    const work = () => Promise.reject(new TerrainError("mast_not_known", "no elevation at the mast"));
    await expect(runOverPinnedTerrain({ terrainDir }, work)).rejects.toMatchObject({ code: "mast_not_known" });
  });

  it("names the folder that is not there where no terrain was agreed on", async () => {
    rmSync(terrainDir, { recursive: true });
    await expect(fingerprint()).rejects.toMatchObject({ code: "terrain_dir_missing" });
  });
});
