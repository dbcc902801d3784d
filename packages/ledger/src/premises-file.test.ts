import { readdirSync, utimesSync, writeFileSync } from "node:fs";
import path from "node:path";
import { tempDir } from "@fellmark/testkit";
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
  const folder = tempDir();
  afterEach(() => folder.remove());

  async function write(records: PremisesRecord[], keepOthers = false) {
    const writer = await createPremisesFile(folder.path, "default");
    const taken = records.map((one) => writer.add(one));
    if (keepOthers) writer.keepOthers();
    return { taken, ...(await writer.publish(noIndex)) };
  }

  it("gives back what was written, by id, position and words", async () => {
    await write([record("1"), record("2", { words: "2 birch row", qualityM: 10 })]);
    const list = await openPremisesFile(folder.path, "default");
    expect(list).toMatchObject({ count: 2, version: expect.stringMatching(/^p[0-9a-f]{64}$/) });
    expect(list?.withId("2")).toEqual(record("2", { words: "2 birch row", qualityM: 10 }));
    expect(list?.withId("3")).toBeUndefined();
    expect(list?.at(0).id).toBe("1");
    expect(list?.matching('"bir"* AND "row"', 10).map(({ id }) => id)).toEqual(["2"]);
    expect(list?.words()).toEqual([
      { word: "alder", count: 1 },
      { word: "birch", count: 1 },
      { word: "row", count: 2 },
    ]);
    expect(list?.pointIndex()).toEqual(noIndex());
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
    expect(readdirSync(folder.path)).toEqual(["default.sqlite"]);
    await write([record("2")]);
    expect(before?.isCurrent()).toBe(false);
    expect(before?.withId("1")?.id).toBe("1");
    before?.close();
  });

  it("removes what a process that died an hour ago has left", async () => {
    await write([record("1")]);
    const [old, young] = ["default.sqlite.1.partial", "default.sqlite.2.partial"];
    for (const name of [old, young]) writeFileSync(path.join(folder.path, name), "");
    const before = Date.now() / 1000 - 3700;
    utimesSync(path.join(folder.path, old), before, before);
    await write([record("1")]);
    expect(readdirSync(folder.path).sort()).toEqual(["default.sqlite", young]);
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
