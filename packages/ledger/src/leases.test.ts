import { join } from "node:path";
import { computeJobId } from "@fellmark/network";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Leases, openSqliteLeases } from "./leases.ts";

describe("leases", () => {
  let folder: TempDir;
  let leases: Leases;
  const [a, b] = ["a", "b"].map((tenant) => ({
    tenant,
    id: computeJobId({ tenant, canonicalRequest: "{}", modelVersion: "m1", terrainFingerprint: "t1" }),
  }));

  beforeEach(async () => {
    folder = createTempDir();
    leases = await openSqliteLeases(join(folder.path, "ledger.sqlite"));
  });
  afterEach(async () => {
    await leases.close();
    folder.remove();
  });

  it("gives out the oldest free reference, each to one holder", async () => {
    for (const key of [a, b, a]) await leases.add(key);
    expect(await leases.take("first", 1_000, 500)).toEqual(a);
    expect(await leases.take("second", 1_000, 500)).toEqual(b);
    expect(await leases.take("third", 1_000, 500)).toBeUndefined();
  });

  it("lets another holder in when the time is over, and shuts the first one out", async () => {
    await leases.add(a);
    await leases.take("first", 1_000, 500);
    expect(await leases.renew("first", 1_400)).toBe(true);
    expect(await leases.take("second", 1_899, 500)).toBeUndefined();
    expect(await leases.take("second", 1_900, 500)).toEqual(a);
    expect(await leases.renew("first", 1_901)).toBe(false);
    await leases.forget("first");
    await leases.release("first", 1_902, 0);
    expect(await leases.renew("second", 1_903)).toBe(true);
  });

  it("does not keep a hold from before the clock began again", async () => {
    await leases.add(a);
    await leases.take("before the restart", 9_000_000, 500);
    expect(await leases.take("after", 20, 500)).toEqual(a);
  });

  it("shuts out who read the clock just before the holder did", async () => {
    await leases.add(a);
    await leases.take("holder", 1_000, 500);
    expect(await leases.take("slow", 999, 500)).toBeUndefined();
  });

  it("pauses what is given back", async () => {
    await leases.add(a);
    await leases.take("first", 1_000, 500);
    await leases.release("first", 1_100, 200);
    expect(await leases.take("second", 1_299, 500)).toBeUndefined();
    expect(await leases.take("second", 1_300, 500)).toEqual(a);
  });

  it("forgets what is done, and drops only what is not leased", async () => {
    for (const key of [a, b]) await leases.add(key);
    await leases.take("first", 1_000, 500);
    await leases.drop(a, 1_100);
    await leases.drop(b, 1_100);
    expect(await leases.renew("first", 1_200)).toBe(true);
    await leases.forget("first");
    expect(await leases.take("second", 9_000, 500)).toBeUndefined();
    await leases.check();
  });
});
