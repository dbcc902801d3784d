import { join } from "node:path";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { WorkerLedger } from "./job-record.ts";
import type { LayerShelf, NewEmbedToken, NewLayerVersion } from "./layer-record.ts";
import { openSqliteLedger } from "./sqlite-ledger.ts";

function newDraft(name: string, change: Partial<NewLayerVersion> = {}): NewLayerVersion {
  const files = [{ name: "classes.bin", bytes: 1, sha256: name.padEnd(64, "0") }];
  const source = { kind: "coverage" as const, id: `j${"1".repeat(64)}` };
  return { tenant: "default", layer: "island", source, description: `{"title":"${name}"}`, files, ...change };
}

describe("the layers of a ledger", () => {
  let folder: TempDir;
  let ledger: WorkerLedger;
  let shelf: LayerShelf;

  beforeEach(async () => {
    folder = createTempDir();
    ledger = await openSqliteLedger(join(folder.path, "ledger.sqlite"));
    shelf = ledger.layers;
  });
  afterEach(async () => {
    await ledger.close();
    folder.remove();
  });

  const states = async (layer = "island") =>
    (await shelf.listVersions("default", layer)).map(({ version, state }) => `${version} ${state}`);
  const latest = async () => (await shelf.findLatest("default", "island"))?.version;

  async function publishAll(count: number): Promise<void> {
    for (let number = 1; number <= count; number++) {
      await shelf.putDraft(newDraft(`${number}`));
      await shelf.publish("default", "island", number);
    }
  }

  it("begin as a draft, which another one replaces under a number of its own", async () => {
    const first = await shelf.putDraft(newDraft("a"));
    expect(first).toMatchObject({ created: true, version: { ...newDraft("a"), version: 1, state: "draft" } });
    expect(await shelf.putDraft(newDraft("a"))).toEqual({ ...first, created: false });
    expect(await shelf.putDraft(newDraft("b"))).toMatchObject({ created: true, version: { version: 2 } });
    expect(await states()).toEqual(["2 draft", "1 retired"]);
    expect(await latest()).toBeUndefined();
    expect(await shelf.publish("default", "island", 1)).toBeUndefined();
  });

  it("are published once; the latest is the one that was published last", async () => {
    await publishAll(2);
    expect(await shelf.publish("default", "island", 2)).toBeUndefined();
    expect(await shelf.publish("default", "island", 9)).toBeUndefined();
    expect(await latest()).toBe(2);
    expect(await shelf.find("default", "island", 1)).toMatchObject({
      state: "published",
      publishedAtMs: expect.any(Number),
    });
  });

  it("are taken back in one call, and the one before is the latest again", async () => {
    await publishAll(3);
    expect(await shelf.withdraw("default", "island", 2)).toBeUndefined();
    expect(await shelf.withdraw("default", "island", 3)).toMatchObject({ state: "withdrawn" });
    expect(await shelf.withdraw("default", "island", 3)).toBeUndefined();
    expect(await latest()).toBe(2);
    await shelf.putDraft(newDraft("4"));
    await shelf.publish("default", "island", 4);
    expect(await latest()).toBe(4);
  });

  it("are retired unless they are the latest", async () => {
    await publishAll(2);
    await shelf.putDraft(newDraft("3"));
    expect(await shelf.retire("default", "island", 2)).toBeUndefined();
    expect(await shelf.retire("default", "island", 1)).toMatchObject({ state: "retired" });
    expect(await shelf.retire("default", "island", 3)).toMatchObject({ state: "retired" });
    expect(await states()).toEqual(["3 retired", "2 published", "1 retired"]);
    expect((await shelf.listKeptFiles()).map(({ sha256 }) => sha256[0])).toEqual(["2"]);
  });

  it("get one number each and one draft, however many are put at once", async () => {
    const other = await openSqliteLedger(join(folder.path, "ledger.sqlite"));
    const puts = Array.from({ length: 20 }, (_, index) =>
      (index % 2 ? shelf : other.layers).putDraft(newDraft(`${index}`)),
    );
    const numbers = (await Promise.all(puts)).map(({ version }) => version.version);
    expect(new Set(numbers).size).toBe(20);
    expect((await states()).filter((state) => state.endsWith("draft"))).toEqual(["20 draft"]);
    const wins = await Promise.all([shelf, other.layers].map((one) => one.publish("default", "island", 20)));
    expect(wins.filter((won) => won !== undefined)).toHaveLength(1);
    await other.close();
  });

  it("are seen by their tenant only", async () => {
    await publishAll(1);
    await shelf.putDraft(newDraft("x", { tenant: "other", layer: "mine" }));
    expect(await shelf.listLayers("default")).toEqual(["island"]);
    expect(await shelf.listLayers("other")).toEqual(["mine"]);
    expect(await shelf.find("other", "island", 1)).toBeUndefined();
    expect(await shelf.findLatest("other", "island")).toBeUndefined();
    expect(await shelf.publish("other", "island", 1)).toBeUndefined();
    expect(await shelf.withdraw("other", "island", 1)).toBeUndefined();
    expect(await shelf.retire("other", "island", 1)).toBeUndefined();
    expect(await shelf.listVersions("other", "island")).toEqual([]);
    await expect(shelf.putDraft(newDraft("x", { tenant: "../b" }))).rejects.toMatchObject({ code: "invalid_input" });
  });

  it("have tokens that are found by their hash and revoked once", async () => {
    const token: NewEmbedToken = {
      tenant: "default",
      layer: "island",
      id: "t1",
      hash: "f".repeat(64),
      origins: ["https://example.net"],
      expiresAtMs: 5,
    };
    await shelf.addToken(token);
    expect(await shelf.findToken(token.hash)).toMatchObject({ ...token, revokedAtMs: null });
    expect(await shelf.findToken("0".repeat(64))).toBeUndefined();
    expect(await shelf.revokeToken("other", "island", "t1")).toBeUndefined();
    const revoked = await shelf.revokeToken("default", "island", "t1");
    expect(revoked?.revokedAtMs).toBeTypeOf("number");
    expect(await shelf.revokeToken("default", "island", "t1")).toEqual(revoked);
    expect(await shelf.listTokens("default", "island")).toEqual([revoked]);
    expect(await shelf.listTokens("default", "other")).toEqual([]);
  });
});
