import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { buildIslandRequest, findIslandAddresses, writeIsland } from "@fellmark/island";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, expect, it } from "vitest";
import { runCaptured } from "../testing/run-captured.ts";

const folder = createTempDir();
beforeAll(async () => {
  await writeIsland(join(folder.path, "terrain"));
  writeFileSync(join(folder.path, "request.json"), JSON.stringify(buildIslandRequest()));
});
afterAll(() => folder.remove());

const run = (...words: string[]) => runCaptured(words, { callerDir: folder.path });

const BATCH = ["batch", "leads.csv", "--request", "request.json", "--terrain", "terrain", "--out", "out"];

it("answers the invented addresses of the island from a file of leads", async () => {
  const rows = findIslandAddresses().map(({ address, lon, lat }) => `"${address}",${lon},${lat}`);
  writeFileSync(join(folder.path, "leads.csv"), `id,lon,lat\n${rows.join("\n")}\nnobody,,\n`);
  const { code, stdout } = await run(...BATCH);
  expect(code).toBe(0);
  expect(stdout).toContain(`${rows.length + 1} leads: `);
  expect(stdout).toContain(`row ${rows.length + 2}: no_address`);
  expect(readdirSync(join(folder.path, "out")).sort()).toEqual(["answers.csv", "answers.geojson", "summary.json"]);
  const lines = readFileSync(join(folder.path, "out", "answers.csv"), "utf8")
    .trim()
    .split("\r\n");
  expect(lines).toHaveLength(rows.length + 2);
});

it("refuses leads that cannot be read with exit code 2, and writes nothing", async () => {
  writeFileSync(join(folder.path, "leads.csv"), Buffer.from("\ufeffid,lon,lat\n", "utf16le"));
  const { code, stderr } = await run(...BATCH, "--out", "none");
  expect(code).toBe(2);
  expect(stderr).toContain("no row below its header");
  expect(existsSync(join(folder.path, "none", "answers.csv"))).toBe(false);
});
