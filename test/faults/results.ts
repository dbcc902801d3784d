import { createHash } from "node:crypto";
import { expect } from "vitest";
import { lastState } from "../e2e/client.ts";
import type { RunningService } from "../e2e/service.ts";

/** summary.json of a finished coverage, as text: it holds the hashes of all other files that are served. */
export async function summaryText(address: string, id: string): Promise<string> {
  const reply = await fetch(`${address}/v1/coverages/${id}/summary`);
  expect(reply.status).toBe(200);
  return reply.text();
}

/**
 * What must hold after every fault: the job ends as done in that attempt, its result is byte for byte that of an
 * undisturbed run (P12), every file is whole (P4), and nothing is left of other attempts.
 */
export async function expectWholeResult(service: RunningService, id: string, attempt: number, undisturbed: string) {
  const { address } = service;
  expect(await lastState(address, id)).toMatchObject({ state: "done", attempt, progress: 1, error: null });
  const text = await summaryText(address, id);
  expect(text).toBe(undisturbed);
  const { files } = JSON.parse(text) as { files: { name: string; sha256: string }[] };
  expect(files).toHaveLength(16);
  for (const { name, sha256 } of files) {
    const bytes = Buffer.from(await (await fetch(`${address}/v1/coverages/${id}/${name}`)).arrayBuffer());
    expect(createHash("sha256").update(bytes).digest("hex"), name).toBe(sha256);
  }
  const ofJob = service.dataFiles().filter((name) => name.includes(`${id}/`));
  const folders = new Set(ofJob.map((name) => /published\/default\/j[0-9a-f]+\/[0-9a-f]{32}/.exec(name)?.[0] ?? name));
  expect(folders.size, [...folders].join(" ")).toBe(1);
}

/** That a client sees nothing of a result that is not finished. */
export async function expectNothingVisible(address: string, id: string) {
  for (const name of ["summary", "tiers.geojson", "map.png", "rasters/tier.tif"]) {
    expect((await fetch(`${address}/v1/coverages/${id}/${name}`)).status, name).toBe(404);
  }
}
