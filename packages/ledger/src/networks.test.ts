import { join } from "node:path";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { WorkerLedger } from "./job-record.ts";
import { openSqliteLedger } from "./sqlite-ledger.ts";
import { KEPT_NETWORKS } from "./sqlite-networks.ts";

const JOB_ID = `j${"0".repeat(64)}`;

function network(name: string, tenant = "default") {
  return { tenant, version: `n-${name}`, document: `{"name":"${name}"}` };
}

describe("the networks of a ledger", () => {
  let folder: TempDir;
  let ledger: WorkerLedger;

  beforeEach(async () => {
    folder = createTempDir();
    ledger = await openSqliteLedger(join(folder.path, "ledger.sqlite"));
  });
  afterEach(async () => {
    await ledger.close();
    folder.remove();
  });

  it("are numbered, and the last one put is the current one", async () => {
    expect(await ledger.findCurrentNetwork("default")).toBeUndefined();
    expect(await ledger.putNetwork(network("a"))).toMatchObject({ created: true, network: { number: 1 } });
    expect(await ledger.putNetwork(network("b"))).toMatchObject({ created: true, network: { number: 2 } });
    expect(await ledger.findCurrentNetwork("default")).toMatchObject({ number: 2, document: '{"name":"b"}' });
    expect(await ledger.findNetwork("default", "n-a")).toMatchObject({ number: 1, document: '{"name":"a"}' });
    expect((await ledger.listNetworks("default")).map(({ version }) => version)).toEqual(["n-b", "n-a"]);
  });

  it("stay as they are when the current one is put again, and take an earlier one back", async () => {
    const first = await ledger.putNetwork(network("a"));
    expect(await ledger.putNetwork(network("a"))).toEqual({ ...first, created: false });
    await ledger.putNetwork(network("b"));
    expect(await ledger.putNetwork(network("a"))).toMatchObject({ created: true, network: { number: 3 } });
    expect(await ledger.findNetwork("default", "n-a")).toMatchObject({ number: 3 });
  });

  it("replace the version that was meant, or none", async () => {
    await ledger.putNetwork(network("a"));
    expect(await ledger.putNetwork(network("b"), "n-a")).toMatchObject({ created: true });
    const refused = { code: "precondition_failed" };
    await expect(ledger.putNetwork(network("c"), "n-a")).rejects.toMatchObject(refused);
    await expect(ledger.putNetwork(network("b"), "n-a")).rejects.toMatchObject(refused);
    await expect(ledger.putNetwork(network("c", "other"), "n-a")).rejects.toMatchObject(refused);
    expect(await ledger.putNetwork(network("b"), "n-b")).toMatchObject({ created: false });
  });

  it("let one of two processes win that replace the same version", async () => {
    const other = await openSqliteLedger(join(folder.path, "ledger.sqlite"));
    await ledger.putNetwork(network("a"));
    const names = Array.from({ length: 20 }, (_, index) => `b${index}`);
    const puts = names.map((name, index) => (index % 2 ? ledger : other).putNetwork(network(name), "n-a"));
    const outcomes = await Promise.allSettled(puts);
    expect(outcomes.filter(({ status }) => status === "fulfilled")).toHaveLength(1);
    expect(await ledger.listNetworks("default")).toHaveLength(2);
    await other.close();
  });

  it("are removed by age and size, but the current one and those a job names", async () => {
    for (const name of ["1", "2", "3", "4"])
      await ledger.putNetwork({ ...network(name, "old"), document: name.repeat(100) });
    const job = { kind: "batch" as const, modelVersion: "m1", terrainFingerprint: "t1" };
    await ledger.submit({ ...job, tenant: "old", id: JOB_ID, request: '{"network":"n-1"}' });
    const left = async () => (await ledger.listNetworks("old")).map(({ number }) => number);
    expect(await ledger.trimNetworks({ putBeforeMs: 0, maxBytes: 250 })).toBe(1);
    expect(await left()).toEqual([4, 3, 1]);
    expect(await ledger.trimNetworks({ putBeforeMs: Date.now() + 1, maxBytes: 1e9 })).toBe(1);
    expect(await left()).toEqual([4, 1]);
  });

  it("are kept up to a number of them, and beyond it while a job that has not ended names them", async () => {
    for (const name of ["first", "named", "third"]) await ledger.putNetwork(network(name));
    await ledger.putNetwork(network("first", "other"));
    const job = {
      tenant: "default",
      id: JOB_ID,
      kind: "coverage" as const,
      modelVersion: "m",
      terrainFingerprint: "t",
    };
    await ledger.submit({ ...job, request: '{"network":"n-named"}' });
    for (let count = 1; count <= KEPT_NETWORKS; count++) await ledger.putNetwork(network(`later-${count}`));
    const kept = async () => (await ledger.listNetworks("default")).map(({ version }) => version);
    expect(await kept()).toHaveLength(KEPT_NETWORKS + 1);
    expect((await kept()).slice(-2)).toEqual(["n-later-1", "n-named"]);
    expect(await ledger.findNetwork("default", "n-first")).toBeUndefined();
    expect(await ledger.findNetwork("other", "n-first")).toMatchObject({ number: 1 });

    await ledger.requestCancel("default", JOB_ID);
    expect(await ledger.putNetwork(network("last"))).toMatchObject({ network: { number: KEPT_NETWORKS + 4 } });
    expect((await kept()).slice(-1)).toEqual(["n-later-2"]);
  });

  it("are seen by their tenant only", async () => {
    await ledger.putNetwork(network("a"));
    expect(await ledger.findCurrentNetwork("other")).toBeUndefined();
    expect(await ledger.findNetwork("other", "n-a")).toBeUndefined();
    expect(await ledger.listNetworks("other")).toEqual([]);
    expect(await ledger.putNetwork(network("a", "other"))).toMatchObject({ created: true, network: { number: 1 } });
    await expect(ledger.putNetwork(network("a", "../b"))).rejects.toMatchObject({ code: "invalid_input" });
  });
});
