import { mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { Answer } from "@fellmark/answers";
import type { Advice } from "@fellmark/coverage";
import { type AdviceRequest, type CoverageRequest, parseAdviceRequest } from "@fellmark/network";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Compute } from "./compute.ts";
import { createCompute } from "./create-compute.ts";
import { buildSmallRequest, writeTile } from "./testing/small-world.ts";

const DEADLINE_MS = 60_000;

type Summary = Advice & { id: string; warnings: { code: string; pointer: string }[] };

let folder: TempDir;
let terrainDir: string;
let compute: Compute;
let runs = 0;

beforeAll(() => {
  folder = createTempDir();
  terrainDir = join(folder.path, "terrain");
  writeTile(terrainDir);
  compute = createCompute();
});
afterAll(async () => {
  await compute.close();
  folder.remove();
});

const channels = [5560, 5600, 5640].map((centreMhz) => ({ centreMhz, widthMhz: 20 }));

async function advise(
  base: CoverageRequest,
  more: Partial<AdviceRequest> = {},
): Promise<{ text: string; advice: Summary }> {
  const outDir = join(folder.path, `out-${runs++}`);
  mkdirSync(outDir);
  const request = parseAdviceRequest({ version: 1, base, channels, ...more });
  await compute.advise({ jobId: "j1", request, terrainDir, outDir }, { deadlineMs: DEADLINE_MS });
  const text = readFileSync(join(outDir, "summary.json"), "utf8");
  return { text, advice: JSON.parse(text) };
}

/** Two sectors of site a lie back to back on 5600 MHz, the third, on site b, on 5640 MHz. */
const onOneChannel = () => {
  const request = buildSmallRequest();
  for (const sector of request.sectors) sector.channel = { centreMhz: 5600, widthMhz: 20 };
  return request;
};

describe("channel advice in the child", () => {
  it("moves sectors off a channel that all share, and writes the same bytes again", async () => {
    const { text, advice } = await advise(onOneChannel(), { growthPerMonth: 0.01 });
    expect(advice.today.overlaps).toEqual([["a-n", "a-s"]]);
    expect(advice.chosen.overlaps).toEqual([]);
    expect(advice.rateFactor).toBeGreaterThan(1);
    const used = advice.sectors.map(({ chosen }) => chosen.channel.centreMhz);
    expect(new Set(used).size).toBe(3);
    expect(advice.sectors.every(({ ranking, places }) => ranking.length === 3 && places > 20)).toBe(true);
    expect((await advise(onOneChannel(), { growthPerMonth: 0.01 })).text).toBe(text);
  });

  it("shows the damage where timing is not common", async () => {
    const base = { ...onOneChannel(), isolations: [{ sectors: ["a-n", "a-s"] as [string, string], isolationDb: 55 }] };
    const apart = structuredClone(base);
    apart.sectors[1].timingGroup = "other";
    const together = (await advise(base)).advice;
    const sliding = (await advise(apart)).advice;
    const lost = (together.sectors[0].today.sinrUpDb ?? 0) - (sliding.sectors[0].today.sinrUpDb ?? 0);
    // A base of 16 dBm a chain behind 55 dB of isolation, on for three quarters of the time: -40 dBm.
    expect(lost).toBeGreaterThan(20);
    expect(sliding.warnings.map(({ code }) => code)).toContain("not_synchronised");
    expect(together.warnings.map(({ code }) => code)).not.toContain("not_synchronised");
  });

  it("leaves the channel in which a scan found noise, at the scanned site only", async () => {
    const base = buildSmallRequest();
    const readings = Array.from({ length: 24 }, (_, step) =>
      channels.map(({ centreMhz }) => ({
        azimuthDeg: 15 * step,
        centreMhz,
        levelDbm: centreMhz === 5560 ? -60 : -110,
      })),
    ).flat();
    const antenna = { gainDbi: 15, widthDeg: 30 };
    const how = { polarisation: "both", statistic: "median", at: "2026-11-01T00:00:00Z", elevationDeg: 0 } as const;
    base.scans = [
      { id: "n", site: "a", heightAglM: 30, antenna, resolutionMhz: 20, noiseFigureDb: null, ...how, readings },
    ];
    const upOn = (advice: Advice, sector: number, centreMhz: number) =>
      advice.sectors[sector].ranking.find(({ channel }) => channel.centreMhz === centreMhz)?.sinrUpDb ?? Number.NaN;
    const noisy = (await advise(base)).advice;
    const quiet = (await advise({ ...base, scans: [] })).advice;
    expect(upOn(quiet, 0, 5560) - upOn(noisy, 0, 5560)).toBeGreaterThan(10);
    expect(upOn(quiet, 2, 5560)).toBe(upOn(noisy, 2, 5560));
  });

  it("keeps sectors that may not change", async () => {
    const { advice } = await advise(onOneChannel(), { sectors: ["a-s"] });
    expect(advice.sectors.map(({ chosen }) => chosen.channel.centreMhz === 5600)).toEqual([true, false, true]);
  });

  it("judges the subscribers as a point answer does, where there are some", async () => {
    const base = onOneChannel();
    base.model = { ...base.model, availability: 0.5, confidence: 0.5 };
    const at = { lon: -30.4999, lat: 12.5045 };
    base.sectors = base.sectors.slice(0, 2);
    const place = { lon: -30.49, lat: 12.52, heightAglM: 20 };
    base.emitters = [{ id: "x", ...place, eirpDbm: 20, channel: { centreMhz: 5590, widthMhz: 20 }, activity: 1 }];
    base.subscribers = ["a-n", "a-s"].map((sector, index) => ({
      id: `c${index}`,
      sector,
      plan: "p25",
      lon: at.lon,
      lat: index === 0 ? at.lat : 12.4955,
    }));
    const { advice } = await advise(base);
    const answer: Answer = await compute.answer({ request: base, at, terrainDir }, { deadlineMs: DEADLINE_MS });
    const link = answer.links.find(({ sector }) => sector === "a-n");
    expect(advice.sectors.map(({ places }) => places)).toEqual([1, 1]);
    expect(advice.sectors[0].today.sinrDownDb).toBeCloseTo(link?.sinrDownDb ?? Number.NaN, 0);
    expect(advice.sectors[0].today.sinrUpDb).toBeCloseTo(link?.sinrUpDb ?? Number.NaN, 0);
    expect(advice.sectors[0].capacity.today.loaded.utilisation).toBeGreaterThan(0);
  });
});
