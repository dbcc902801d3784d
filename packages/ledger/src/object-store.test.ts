import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type ObjectStore, openObjectStore } from "./object-store.ts";

const HOUR_MS = 3_600_000;

/** SHA-256 of "abc". Source: NIST, FIPS 180-2, appendix B.1. */
const SHA_OF_ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

describe("objects in a folder", () => {
  let folder: TempDir;
  let store: ObjectStore;
  beforeEach(() => {
    folder = createTempDir();
    store = openObjectStore(join(folder.path, "objects"));
  });
  afterEach(() => folder.remove());

  async function keep(tenant: string, contents: Record<string, string>) {
    const staged = await store.stage();
    for (const [name, content] of Object.entries(contents)) writeFileSync(join(staged, name), content);
    return store.keep(tenant, staged);
  }

  it("are found by their hash, equal ones held once for a tenant", async () => {
    const files = await keep("default", { "a.txt": "abc", "b.txt": "abc", "c.txt": "other" });
    expect(files[0]).toEqual({ name: "a.txt", bytes: 3, sha256: SHA_OF_ABC });
    expect(await keep("default", { "a.txt": "abc" })).toEqual([files[0]]);
    expect(readFileSync(store.findPath("default", SHA_OF_ABC), "utf8")).toBe("abc");
    expect(existsSync(store.findPath("other", SHA_OF_ABC))).toBe(false);
    const names = readdirSync(join(folder.path, "objects", "kept"), { recursive: true, withFileTypes: true });
    expect(names.filter((entry) => entry.isFile())).toHaveLength(2);
    expect(readdirSync(join(folder.path, "objects", "staged"))).toEqual([]);
  });

  it("go when nothing names them, but not within an hour", async () => {
    const [kept] = await keep("default", { "a.txt": "abc" });
    const [left] = await keep("default", { "b.txt": "left" });
    await store.stage();
    const named = [{ tenant: "default", sha256: kept.sha256 }];
    expect(await store.sweep(named, Date.now() + HOUR_MS / 2)).toBe(0);
    expect(await store.sweep(named, Date.now() + 2 * HOUR_MS)).toBe(1);
    expect(existsSync(store.findPath("default", kept.sha256))).toBe(true);
    expect(existsSync(store.findPath("default", left.sha256))).toBe(false);
    expect(readdirSync(join(folder.path, "objects", "staged"))).toEqual([]);
  });

  it("have no path for a name that is not a hash", () => {
    for (const name of ["", "..", "../../etc/passwd", SHA_OF_ABC.toUpperCase()])
      expect(() => store.findPath("default", name)).toThrow(expect.objectContaining({ code: "not_found" }));
    expect(() => store.findPath("../x", SHA_OF_ABC)).toThrow(expect.objectContaining({ code: "invalid_input" }));
  });
});
