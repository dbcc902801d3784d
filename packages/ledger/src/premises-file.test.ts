import { spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { createTempDir } from "@fellmark/testkit";
import { afterEach, describe, expect, it } from "vitest";
import { openPremisesFile } from "./premises-reader.ts";
import type { PremisesRecord } from "./premises-record.ts";
import { createPremisesFile } from "./premises-writer.ts";

const noIndex = () => new Uint8Array([1, 2, 3]);

function record(id: string, change: Partial<PremisesRecord> = {}): PremisesRecord {
  const address = `${id} Alder Row`;
  return { id, address, words: `${id} alder row`, lon: 10, lat: 50, qualityM: null, ...change };
}

describe("file of premises", () => {
  const folder = createTempDir();
  afterEach(() => folder.remove());

  async function write(records: PremisesRecord[], keepOthers = false) {
    const writer = await createPremisesFile(folder.path, "default");
    const taken = records.map((one) => writer.add(one));
    if (keepOthers) writer.keepOthers();
    return { taken, ...(await writer.publish(noIndex)) };
  }

  /** Names in the folder but that of the lock, which stays. */
  const files = () => readdirSync(folder.path).filter((name) => !name.endsWith(".lock"));

  it("gives back what was written, by id, position and words", async () => {
    await write([record("1"), record("2", { words: "2 birch row", qualityM: 10 })]);
    const list = await openPremisesFile(folder.path, "default");
    expect(list).toMatchObject({ count: 2, version: expect.stringMatching(/^p[0-9a-f]{64}$/) });
    expect(list?.findById("2")).toEqual(record("2", { words: "2 birch row", qualityM: 10 }));
    expect(list?.findById("3")).toBeUndefined();
    expect(list?.readAt(0).id).toBe("1");
    expect(list?.findMatching('"bir"* AND "row"', 10).map(({ id }) => id)).toEqual(["2"]);
    expect(list?.listWords()).toEqual([
      { word: "alder", count: 1 },
      { word: "birch", count: 1 },
      { word: "row", count: 2 },
    ]);
    expect(list?.readPointIndex()).toEqual(noIndex());
    list?.close();
  });

  it("counts what a new list changes, and refuses an id that stands twice", async () => {
    await write([record("1"), record("2"), record("3")]);
    const second = await write([record("2"), record("3", { lat: 51 }), record("4"), record("4", { lat: 1 })]);
    expect(second).toMatchObject({ taken: [true, true, true, false], added: 1, changed: 1, same: 1, removed: 1 });
    const third = await write([record("1")], true);
    expect(third).toMatchObject({ count: 4, added: 1, same: 3, removed: 0 });
  });

  it("keeps the present list, and those who read it, until the new one is whole", async () => {
    await write([record("1")]);
    const before = await openPremisesFile(folder.path, "default");
    const abandoned = await createPremisesFile(folder.path, "default");
    abandoned.add(record("2"));
    expect(before?.isCurrent()).toBe(true);
    await abandoned.discard();
    expect(files()).toEqual(["default.sqlite"]);
    await write([record("2")]);
    expect(before?.isCurrent()).toBe(false);
    expect(before?.findById("1")?.id).toBe("1");
    before?.close();
  });

  it("removes what a writer of the same tenant that died has left", async () => {
    await write([record("1")]);
    for (const name of ["default.sqlite.1.partial", "other.sqlite.1.partial"])
      writeFileSync(path.join(folder.path, name), "");
    await write([record("1")]);
    expect(files().sort()).toEqual(["default.sqlite", "other.sqlite.1.partial"]);
  });

  it("loses no row of two writers who both keep the others, whichever comes first", async () => {
    await Promise.all([write([record("1")], true), write([record("2")], true), write([record("3")], true)]);
    const list = await openPremisesFile(folder.path, "default");
    expect(list?.count).toBe(3);
    list?.close();
  });

  it("loses no row of two processes who both keep the others", async () => {
    const script = `import { createPremisesFile } from ${JSON.stringify(new URL("../dist/index.js", import.meta.url).href)};
      const [dir, id] = process.argv.slice(1);
      for (let round = 0; round < 5; round++) {
        const writer = await createPremisesFile(dir, "default");
        writer.add({ id: id + round, address: "1 Alder Row", words: "1 alder row", lon: 1, lat: 2, qualityM: null });
        writer.keepOthers();
        await writer.publish(() => new Uint8Array(1));
      }`;
    const run = (id: string) => spawn(process.execPath, ["--input-type=module", "-e", script, folder.path, id]);
    const ended = await Promise.all(["a", "b"].map((id) => once(run(id), "exit")));
    expect(ended).toEqual([
      [0, null],
      [0, null],
    ]);
    const list = await openPremisesFile(folder.path, "default");
    expect(list?.count).toBe(10);
    list?.close();
  });

  it("lets a writer wait no longer than it wants, and goes on after one that was given up", async () => {
    const first = await createPremisesFile(folder.path, "default");
    await expect(createPremisesFile(folder.path, "default", 0)).rejects.toMatchObject({ code: "premises_busy" });
    await (await createPremisesFile(folder.path, "other", 0)).discard();
    await first.discard();
    await first.discard();
    expect(await write([record("1")])).toMatchObject({ count: 1 });
  });

  it("gives equal lists the same version", async () => {
    const first = await write([record("1"), record("2")]);
    expect((await write([record("1"), record("2")])).version).toBe(first.version);
    expect((await write([record("1")])).version).not.toBe(first.version);
  });

  it("keeps tenants apart and knows none by itself", async () => {
    expect(await openPremisesFile(folder.path, "other")).toBeUndefined();
    await expect(openPremisesFile(folder.path, "../x")).rejects.toMatchObject({ code: "invalid_input" });
  });
});
