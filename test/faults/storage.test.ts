import { spawnSync } from "node:child_process";
import { closeSync, mkdirSync, openSync, renameSync, rmSync, writeSync } from "node:fs";
import path from "node:path";
import { createTempDir, needs } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { lastState, post, stateWhere } from "../e2e/client.ts";
import { ridgeRequest } from "../e2e/requests.ts";
import { type RunningService, startService } from "../e2e/service.ts";
import { summaryText } from "./results.ts";

/** A result of `ridgeRequest` and the ledger need a fraction of it. */
const DISK_MB = 48;

let service: RunningService | undefined;
afterEach(() => service?.remove());

function readyStatus(address: string): Promise<number> {
  return fetch(`${address}/health/ready`).then(({ status }) => status);
}

function canMount(): boolean {
  const dir = createTempDir();
  const isMounted = spawnSync("mount", ["-t", "tmpfs", "-o", "size=1m", "tmpfs", dir.path]).status === 0;
  if (isMounted) spawnSync("umount", [dir.path]);
  dir.remove();
  return isMounted;
}

describe.skipIf(!needs("a disk of its own (mount)", canMount()))("a disk that is full (F18)", () => {
  let disk: ReturnType<typeof createTempDir>;
  let filler: string;
  beforeEach(() => {
    disk = createTempDir();
    spawnSync("mount", ["-t", "tmpfs", "-o", `size=${DISK_MB}m`, "tmpfs", disk.path]);
    filler = path.join(disk.path, "filler");
  });
  afterEach(async () => {
    await service?.remove();
    service = undefined;
    spawnSync("umount", ["-l", disk.path]);
    disk.remove();
  });

  /** Leaves not one byte free. */
  function fill(): void {
    const file = openSync(filler, "a");
    try {
      for (const bytes of [1 << 20, 1 << 12, 1]) {
        const block = Buffer.alloc(bytes);
        while (tryWrite(file, block) === bytes);
      }
    } finally {
      closeSync(file);
    }
  }

  function tryWrite(file: number, block: Buffer): number {
    try {
      return writeSync(file, block);
    } catch {
      return 0;
    }
  }

  async function start(): Promise<RunningService> {
    service = await startService({ FELLMARK_DATA_DIR: path.join(disk.path, "data"), FELLMARK_MIN_FREE_MB: "1" });
    return service;
  }

  test("refuses work, answers reads, deletes, and takes work again when there is room", async () => {
    const { address } = await start();
    const { id } = (await post(address, ridgeRequest())).body;
    expect(await lastState(address, id)).toMatchObject({ state: "done" });
    const undisturbed = await summaryText(address, id);
    fill();

    const refused = await post<{ code: string }>(address, ridgeRequest({ name: "other" }));
    expect([refused.status, refused.body.code]).toEqual([507, "storage_full"]);
    expect(refused.headers.get("retry-after")).toMatch(/^\d+$/);
    expect(await readyStatus(address)).toBe(503);
    expect(await summaryText(address, id)).toBe(undisturbed);
    const erased = await fetch(`${address}/v1/coverages/${id}`, { method: "DELETE" });
    expect(erased.status).toBe(204);
    expect((await fetch(`${address}/v1/coverages/${id}`)).status).toBe(404);

    rmSync(filler);
    expect(await readyStatus(address)).toBe(200);
    const again = await post(address, ridgeRequest());
    expect([again.status, again.body.id]).toEqual([202, id]);
    expect(await lastState(address, id)).toMatchObject({ state: "done", attempt: 1 });
    expect(await summaryText(address, id)).toBe(undisturbed);
  });

  test("puts work in hand back and finishes it when there is room, uncounted", async () => {
    const { address, output } = await start();
    const area = { radiusM: 6_000, zoom: 13 };
    const { id } = (await post(address, ridgeRequest({ name: "in hand", area }))).body;
    await stateWhere(address, id, ({ progress }) => progress > 0);
    fill();
    await output.waitFor(/"code":"storage_f[^"]*".*"isHandedOver":true/, 60_000);
    rmSync(filler);
    expect(await lastState(address, id)).toMatchObject({ state: "done", error: null });
  });
});

test("a data folder that is moved away turns readiness off and takes no work, until it is back", async () => {
  service = await startService();
  const { address, dir } = service;
  const { id } = (await post(address, ridgeRequest())).body;
  expect(await lastState(address, id)).toMatchObject({ state: "done" });
  const [place, away] = [path.join(dir.path, "data"), path.join(dir.path, "away")];
  for (const replace of [() => {}, () => mkdirSync(place)]) {
    renameSync(place, away);
    replace();
    expect(await readyStatus(address)).toBe(503);
    expect((await post(address, ridgeRequest({ name: "lost" }))).status).toBe(503);
    rmSync(place, { recursive: true, force: true });
    renameSync(away, place);
    expect(await readyStatus(address)).toBe(200);
  }
  expect((await fetch(`${address}/v1/coverages/${id}/summary`)).status).toBe(200);
});
