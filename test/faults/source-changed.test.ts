import { readFileSync, rmSync, statSync, truncateSync, utimesSync, writeFileSync } from "node:fs";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { lastState, post } from "../e2e/client.ts";
import { longRequest, ridgeRequest } from "../e2e/requests.ts";
import { type RunningService, startService } from "../e2e/service.ts";
import { TINY_TILE } from "../e2e/tiny-terrain.ts";

let service: RunningService;
let tile: string;
let heights: Buffer;
beforeAll(async () => {
  service = await startService();
  tile = path.join(service.dir.path, "terrain", TINY_TILE.name);
  heights = readFileSync(tile);
});
afterAll(() => service.remove());

/** Holds the worker busy, so that what is posted next waits. */
async function occupyWorker(name: string): Promise<() => Promise<unknown>> {
  const { id } = (await post(service.address, longRequest(name))).body;
  return () => fetch(`${service.address}/v1/coverages/${id}`, { method: "DELETE" });
}

describe("terrain that changes between the acceptance of a job and its start (F22)", () => {
  test.each<[string, () => void]>([
    ["is raised by 100 m in the same size and time", raise],
    ["is half copied", () => truncateSync(tile, heights.length / 2)],
    ["is gone", () => rmSync(tile)],
  ])("%s: never the result of the old id, and the same request is computed anew", async (name, spoil) => {
    const { address } = service;
    const request = ridgeRequest({ name });
    const release = await occupyWorker(`before ${name}`);
    const { id } = (await post(address, request)).body;
    spoil();
    await release();
    expect(await lastState(address, id)).toMatchObject({ state: "failed", error: { code: "source_changed" } });
    for (const file of ["summary", "tiers.geojson"])
      expect((await fetch(`${address}/v1/coverages/${id}/${file}`)).status).toBe(404);

    writeFileSync(tile, raised());
    const again = (await post(address, request)).body;
    expect(again.id).not.toBe(id);
    expect(await lastState(address, again.id)).toMatchObject({ state: "done", attempt: 1 });

    writeFileSync(tile, heights);
    expect((await fetch(`${address}/v1/coverages/${id}/retry`, { method: "POST" })).status).toBe(202);
    expect(await lastState(address, id)).toMatchObject({ state: "done", error: null });
  });
});

function raised(): Buffer {
  const higher = Buffer.from(heights);
  for (let at = 0; at < higher.length; at += 2) higher.writeInt16BE(heights.readInt16BE(at) + 100, at);
  return higher;
}

function raise(): void {
  const { atime, mtime } = statSync(tile);
  writeFileSync(tile, raised());
  utimesSync(tile, atime, mtime);
}
