import { createHash } from "node:crypto";
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { findDamage, hashAndSyncTree, requireReported } from "./result-tree.ts";

const hashOf = (text: string) => createHash("sha256").update(text).digest("hex");
const fileOf = (name: string, text: string) => ({ name, bytes: text.length, sha256: hashOf(text) });

let folder: TempDir;
beforeEach(() => {
  folder = createTempDir();
  mkdirSync(join(folder.path, "b"));
  writeFileSync(join(folder.path, "b", "two"), "second");
  writeFileSync(join(folder.path, "one"), "first");
});
afterEach(() => folder.remove());

const FILES = [fileOf("b/two", "second"), fileOf("one", "first")];

describe("the files of a result", () => {
  it("are listed by name with their sizes and hashes", async () => {
    expect(await hashAndSyncTree(folder.path)).toEqual(FILES);
  });

  it("are those that were reported, in any order, and no others", () => {
    expect(() => requireReported(FILES, [...FILES].reverse())).not.toThrow();
    expect(() => requireReported(FILES, FILES.slice(1))).toThrow("b/two was not reported by the computation");
    expect(() => requireReported(FILES.slice(0, 1), FILES)).toThrow("one is missing");
    const other = [fileOf("b/two", "sekond"), FILES[1]];
    expect(() => requireReported(other, FILES)).toThrow("b/two is not the file that the computation wrote");
    const longer = [{ ...FILES[0], bytes: 7 }, FILES[1]];
    expect(() => requireReported(longer, FILES)).toThrow("b/two is not the file that the computation wrote");
  });
});

describe("damage of a result", () => {
  const findHere = () => findDamage(FILES, (name) => join(folder.path, name));

  it("is none while all files are as they were", async () => {
    expect(await findHere()).toBeUndefined();
  });

  it("is told by its size before its hash, else by the hash", async () => {
    writeFileSync(join(folder.path, "b", "two"), "short");
    expect(await findHere()).toBe("b/two has 5 bytes, not 6");
    writeFileSync(join(folder.path, "b", "two"), "sekond");
    expect(await findHere()).toBe("b/two is not the file that was published");
  });

  it("is a file that is gone, or a folder in its place", async () => {
    rmSync(join(folder.path, "one"));
    expect(await findHere()).toBe("one is missing");
    mkdirSync(join(folder.path, "one"));
    expect(await findHere()).toBe("one is missing");
  });
});
