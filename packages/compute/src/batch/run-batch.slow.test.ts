import { createHash } from "node:crypto";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { type BatchRequest, parseBatchRequest } from "@fellmark/network";
import { importPremises, openPremisesList } from "@fellmark/premises";
import { createSeededRandom, createTempDir, type TempDir } from "@fellmark/testkit";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Compute } from "../compute.ts";
import { createCompute } from "../create-compute.ts";
import { buildSmallRequest, writeTile } from "../testing/small-world.ts";
import { openChunkFiles } from "./chunk-files.ts";
import { CHUNK_LEADS } from "./run-batch.ts";

const DEADLINE_MS = 120_000;
const JOB_ID = `j${"0".repeat(64)}`;
const TENANT = "default";

let folder: TempDir;
let compute: Compute;
let version: string | null;
let runs = 0;

beforeAll(async () => {
  folder = createTempDir();
  writeTile(join(folder.path, "terrain"));
  compute = createCompute();
  const file = join(folder.path, "premises.csv");
  writeFileSync(
    file,
    'id,address,lon,lat,quality\np1,1 Alder Row,-30.5,12.502,rooftop\np2,"=cmd() Row",-30.499,12.5,\np3,3 Birch Row,-30.5,12.5,\np4,3 Birch Road,-30.5,12.5,\nfar,7 Far Row,-30.5,12.511,centroid\n',
  );
  await importPremises({ dir: join(folder.path, "premises"), tenant: TENANT }, file, { map: {} });
  const list = await openPremisesList(join(folder.path, "premises"), TENANT);
  version = list?.version ?? null;
  list?.close();
});
afterAll(async () => {
  await compute.close();
  folder.remove();
});

/** Chunks are of one batch: another text has others. */
const workOf = (text: string) => createHash("sha256").update(text).digest("hex");

const taskOf = (text: string, more: Partial<BatchRequest> = {}) => {
  const outDir = join(folder.path, `out-${runs++}`);
  mkdirSync(outDir);
  const request = parseBatchRequest({
    version: 1,
    source: { request: buildSmallRequest() },
    leads: { text },
    premises: version,
    ...more,
  });
  const folders = { terrainDir: join(folder.path, "terrain"), premisesDir: join(folder.path, "premises"), outDir };
  return {
    jobId: JOB_ID,
    date: "2026-11-30",
    tenant: TENANT,
    request,
    ...folders,
    workDir: join(folder.path, "work", workOf(text)),
  };
};

async function run(text: string, more: Partial<BatchRequest> = {}) {
  const task = taskOf(text, more);
  await compute.batch(task, { deadlineMs: DEADLINE_MS });
  const read = (name: string) => readFileSync(join(task.outDir, name), "utf8");
  const lines = parse(read("answers.csv"), { columns: true }) as Record<string, string>[];
  return {
    lines,
    csv: read("answers.csv"),
    collection: JSON.parse(read("answers.geojson")),
    features: JSON.parse(read("answers.geojson")).features,
    summary: JSON.parse(read("summary.json")),
  };
}

const LEADS = [
  "id,address,premises,lon,lat,height",
  "a,1 Alder Row,,,,",
  "b,,p2,,,12",
  "c,here,,-30.501,12.501,",
  "d,3 Birch Ro,,,,",
  "e,9 Nowhere,,,,",
  "f,,,12 60 00,12.5,",
  "g,,,-40,12.5,",
  "h,,,-30.5,12.5,600",
  "=1+1,1 Alder Row,,,,",
].join("\n");

describe("batch of leads in the child", () => {
  it("answers every lead in its row, by address, premises or point, and says what it could not find", async () => {
    const { lines, features, summary } = await run(LEADS);
    expect(lines.map(({ row, id, problem }) => [row, id, problem])).toEqual([
      ["2", "a", ""],
      ["3", "b", ""],
      ["4", "c", ""],
      ["5", "d", ""],
      ["6", "e", "unknown_address"],
      ["7", "f", "not_a_number"],
      ["8", "g", ""],
      ["9", "h", "bad_height"],
      ["10", "'=1+1", ""],
    ]);
    expect(lines[0]).toMatchObject({
      premises: "p1",
      foundAddress: "1 Alder Row",
      verdict: "serviceable",
      heightAglM: "6",
    });
    expect(lines[1]).toMatchObject({ heightAglM: "12", foundAddress: "'=cmd() Row" });
    expect(Number(lines[1].signalDbm)).toBeLessThan(0);
    expect(lines[3]).toMatchObject({ foundAddress: "3 Birch Row", typos: "1" });
    expect(lines[6].verdict).toBe("not-known");
    expect(features[1]).toMatchObject({
      geometry: { type: "Point", coordinates: [-30.499, 12.5] },
      properties: { foundAddress: "=cmd() Row" },
    });
    expect(features[4].geometry).toBeNull();
    expect(summary).toMatchObject({
      leads: 9,
      byProblem: { unknown_address: 1, not_a_number: 1, bad_height: 1 },
      premises: version,
    });
    expect(summary.problems[0]).toEqual({ row: 6, problem: "unknown_address", detail: "no such address is known" });
  });

  it("gives all columns of the file back behind its own, also of a sheet with decimal commas", async () => {
    const { lines, features } = await run("Ref;Customer;LON;Lat\n7;Müller;-30,501;12,501\n8;=1+1;there;12,5\n");
    const own = { Ref: "7", Customer: "Müller", "file.LON": "-30,501", "file.Lat": "12,501" };
    expect(lines[0]).toMatchObject({ id: "7", lon: "-30.501", verdict: "serviceable", ...own });
    expect(features[0].properties).toMatchObject(own);
    expect(lines[1]).toMatchObject({ problem: "not_a_number", Customer: "'=1+1", "file.LON": "there" });
    expect(Object.keys(lines[0]).slice(-4)).toEqual(Object.keys(own));
  });

  it("states its origin in every row, on the collection and in the summary", async () => {
    const { lines, collection, summary } = await run(LEADS);
    expect(lines[0]).toMatchObject({ date: "2026-11-30", networkVersion: "", modelVersion: summary.model });
    expect(lines[0]).toMatchObject({ terrainVersion: summary.terrain.fingerprint, confidence: "0.9" });
    expect(collection).toMatchObject({ id: JOB_ID, date: "2026-11-30", network: null, cpeHeightAglM: 6 });
    expect(summary).toMatchObject({ id: JOB_ID, date: "2026-11-30", confidence: 0.9 });
  });

  it("gives the same bytes again, and takes GeoJSON too", async () => {
    expect((await run(LEADS)).csv).toBe((await run(LEADS)).csv);
    const geojson =
      '{"type":"Feature","id":7,"properties":{},"geometry":{"type":"Point","coordinates":[-30.501,12.501]}}';
    expect((await run(geojson)).lines[0]).toMatchObject({ row: "1", id: "7", verdict: "serviceable" });
  });

  it("judges premises by the circle that their point may be off by, and bare points alone", async () => {
    const { lines } = await run("id,premises,lon,lat\nlist,far,,\npoint,,-30.5,12.502\n");
    expect(lines[1]).toMatchObject({ id: "point", verdict: "serviceable" });
    expect(lines[0]).toMatchObject({ id: "list", verdict: "survey-first" });
    expect(lines[0].reason).toMatch(/^The house lies within 500 m of the point, where verdicts differ/);
  });

  it("never guesses between addresses that fit equally well", async () => {
    expect((await run("address\n3 Birch\n")).lines[0]).toMatchObject({
      verdict: "not-known",
      problem: "several_addresses",
    });
  });

  it("fails when the list of premises is another by now", async () => {
    await expect(run(LEADS, { premises: null })).rejects.toMatchObject({ code: "premises_changed" });
  });

  it("goes on behind the chunks that a stopped attempt left over the same terrain", async () => {
    const random = createSeededRandom(5);
    const points = Array.from(
      { length: CHUNK_LEADS + 20 },
      () => `${(-30.5 + 0.01 * random()).toFixed(6)},${(12.5 + 0.01 * random()).toFixed(6)}`,
    );
    const text = `lon,lat\n${points.join("\n")}\n`;
    const whole = await run(`${text}\n`);
    const stopped = taskOf(text);
    const abort = new AbortController();
    const onProgress = (progress: number) => progress > 0.5 && abort.abort();
    await expect(
      compute.batch(stopped, { deadlineMs: DEADLINE_MS, signal: abort.signal, onProgress }),
    ).rejects.toMatchObject({ code: "cancelled" });
    const [terrain] = readdirSync(stopped.workDir);
    const chunks = await openChunkFiles(join(stopped.workDir, terrain));
    const kept = (await chunks.read(0)) ?? [];
    kept[0][0] = "kept";
    await chunks.write(0, kept);
    const again = await run(text);
    expect(again.lines[0].row).toBe("kept");
    expect(again.csv.replace("kept", "2")).toBe(whole.csv);

    const task = { ...taskOf(text), terrainDir: join(folder.path, "changed-terrain") };
    writeTile(task.terrainDir, (column, row) => column === 0 && row === 0);
    await compute.batch(task, { deadlineMs: DEADLINE_MS });
    const csv = readFileSync(join(task.outDir, "answers.csv"), "utf8");
    const withoutTerrain = (text: string) => text.replaceAll(/,[0-9a-f]{64},/g, ",terrain,");
    expect(withoutTerrain(csv) === withoutTerrain(whole.csv), "nothing kept over another terrain").toBe(true);
  });
});
