import { existsSync, readdirSync } from "node:fs";
import path from "node:path";
import { createSeededRandom } from "@fellmark/testkit";
import { afterEach, expect, test } from "vitest";
import { lastState, post, stateWhere } from "./client.ts";
import { ridgeRequest } from "./requests.ts";
import { type RunningService, startService } from "./service.ts";
import { TINY_TILE } from "./tiny-terrain.ts";

const BATCHES = "/v1/batches";
const LEASE = { FELLMARK_LEASE_MS: "1000" };

let service: RunningService | undefined;
afterEach(() => service?.remove());

const MAST = { lon: TINY_TILE.west + 0.5, lat: TINY_TILE.south + 0.5 };

/** Invented addresses around the mast. */
const random = createSeededRandom(7);
const PREMISES = Array.from({ length: 2500 }, (_, index) => {
  const [lon, lat] = [MAST.lon + 0.02 * random() - 0.01, MAST.lat + 0.02 * random() - 0.01];
  return { id: `p${index}`, address: `${index + 1} Ridge Road`, lon: lon.toFixed(6), lat: lat.toFixed(6) };
});

async function importAll({ address }: RunningService): Promise<void> {
  const lines = PREMISES.map(({ id, address: line, lon, lat }) => `${id},${line},${lon},${lat}`);
  const body = `id,address,lon,lat\n${lines.join("\n")}\n`;
  const reply = await fetch(`${address}/v1/premises`, {
    method: "POST",
    headers: { "Content-Type": "text/csv" },
    body,
  });
  expect(await reply.json()).toMatchObject({ imported: PREMISES.length, rejected: 0 });
}

const batch = {
  version: 1,
  source: { request: ridgeRequest() },
  leads: { text: `address\n${PREMISES.map(({ address }) => address).join("\n")}\n` },
};

async function answersOf({ address }: RunningService, id: string): Promise<string> {
  return (await fetch(`${address}${BATCHES}/${id}/answers.csv`)).text();
}

/** Files that attempts of a job have left for the next. */
function workOf({ dir }: RunningService, id: string): string[] {
  const folder = path.join(dir.path, "data", "results", "work", "default", id);
  if (!existsSync(folder)) return [];
  // Below the fingerprint of the terrain that they rest on.
  return readdirSync(folder).flatMap((terrain) => readdirSync(path.join(folder, terrain)));
}

test("premises are imported, searched, and answered in a batch that goes on where it was stopped", async () => {
  const first = await startService(LEASE);
  service = first;
  await importAll(first);
  const found = await (await fetch(`${first.address}/v1/premises?q=12+ridge+raod`)).json();
  expect(found).toMatchObject({ result: "found", hits: [{ id: "p11", typos: 1 }] });

  const { id } = (await post(first.address, batch, BATCHES)).body;
  await stateWhere(first.address, id, ({ progress }) => progress > 0.2, BATCHES);
  first.child.kill("SIGKILL");
  await first.ended;
  expect(workOf(first, id)).toContain("000000.json");

  const second = await startService(LEASE, first.dir);
  service = second;
  expect(await lastState(second.address, id, BATCHES)).toMatchObject({ state: "done", attempt: 2 });
  const answers = await answersOf(second, id);
  expect(answers.split("\r\n")).toHaveLength(PREMISES.length + 2);
  expect(workOf(second, id)).toEqual([]);

  await fetch(`${second.address}${BATCHES}/${id}`, { method: "DELETE" });
  await post(second.address, batch, BATCHES);
  expect(await lastState(second.address, id, BATCHES)).toMatchObject({ state: "done", attempt: 1 });
  expect(await answersOf(second, id)).toBe(answers);
});

test("a cancelled batch keeps what it has for a retry, and leaves nothing when it is deleted", async () => {
  const running = await startService();
  service = running;
  const { address } = running;
  await importAll(running);
  const { id } = (await post(address, batch, BATCHES)).body;
  await stateWhere(address, id, ({ progress }) => progress > 0.2, BATCHES);
  await fetch(`${address}${BATCHES}/${id}`, { method: "DELETE" });
  expect(await lastState(address, id, BATCHES)).toMatchObject({ state: "cancelled" });
  expect(workOf(running, id)).toContain("000000.json");
  await fetch(`${address}${BATCHES}/${id}`, { method: "DELETE" });
  expect(running.dataFiles().filter((name) => name.includes(id))).toEqual([]);
});
