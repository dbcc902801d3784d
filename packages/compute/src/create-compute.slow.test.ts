import { existsSync, mkdirSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { LonLat } from "@fellmark/geodesy";
import { createTempDir, needs, type TempDir } from "@fellmark/testkit";
import { InputError } from "@fellmark/units";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { readResidentBytes } from "./child-process.ts";
import type { CallLimits, Compute } from "./compute.ts";
import { createCompute } from "./create-compute.ts";
import { buildLongRequest, buildSmallRequest, TILE, writeTile } from "./testing/small-world.ts";

const LIMITS: CallLimits = { deadlineMs: 60_000 };

let folder: TempDir;
let terrainDir: string;
let compute: Compute;
let outDirs = 0;

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

function newOutDir(): string {
  const outDir = join(folder.path, `out-${++outDirs}`);
  mkdirSync(outDir);
  return outDir;
}

/** Starts a coverage of some seconds; `running` settles at its first sign of progress. */
function startLong(limits: Partial<CallLimits> = {}, by = compute) {
  const outDir = newOutDir();
  let ended: Promise<unknown> = Promise.resolve();
  const running = new Promise<void>((resolve) => {
    ended = by
      .cover(
        { jobId: "j1", request: buildLongRequest(), terrainDir, outDir },
        { ...LIMITS, onProgress: () => resolve(), ...limits },
      )
      .then(
        () => "finished",
        (error: unknown) => error,
      );
  });
  return { running, ended, outDir };
}

async function askGround(sites: LonLat[], limits: CallLimits, by = compute): Promise<(number | null)[]> {
  const question = { sites, terrain: { sets: ["default"] }, model: { clutter: { class: "open" as const } } };
  return (await by.terrainFacts(terrainDir, question, limits)).groundAmslM;
}

/** Ground at the middle of the tile. */
function askHeight(limits: CallLimits, by = compute): Promise<(number | null)[]> {
  const middle = { lon: TILE.west + 0.5, lat: TILE.south + 0.5 };
  return askGround([middle], limits, by);
}

/** Children that were started, or are the only ones, after some work. */
async function childrenOf(by: Compute, work: () => Promise<unknown>): Promise<number[]> {
  await by.close();
  await work();
  return childPids();
}

/** The child answers, and rightly. */
async function answersAgain(by = compute): Promise<void> {
  // Sample 600, 600 of the tile: 200 + 90 sin(600/19) cos(600/23) + 50 sin(1200/7), rounded.
  const [heightM] = await askHeight(LIMITS, by);
  expect(heightM).toBe(Math.round(200 + 90 * Math.sin(600 / 19) * Math.cos(600 / 23) + 50 * Math.sin(1200 / 7)));
}

/** Process ids of our compute children. Source of the fields: proc(5). */
function childPids(): number[] {
  return readdirSync("/proc")
    .filter((name) => /^\d+$/.test(name))
    .filter((pid) => {
      try {
        const parent = /^PPid:\t(\d+)$/m.exec(readFileSync(`/proc/${pid}/status`, "latin1"))?.[1];
        return Number(parent) === process.pid && readFileSync(`/proc/${pid}/cmdline`).includes("child-main");
      } catch {
        return false;
      }
    })
    .map(Number);
}

describe("the compute child", () => {
  it("is killed at the deadline, and the next call has a fresh one (F6)", async () => {
    await answersAgain();
    const { ended, outDir } = startLong({ deadlineMs: 250 });
    expect(await ended).toMatchObject({ code: "timeout" });
    expect(existsSync(join(outDir, "summary.json"))).toBe(false);
    await answersAgain();
  });

  it("is killed when the caller gives up, and the next call has a fresh one (F41)", async () => {
    const giveUp = new AbortController();
    const { running, ended } = startLong({ signal: giveUp.signal });
    await running;
    giveUp.abort();
    expect(await ended).toMatchObject({ code: "cancelled" });
    await answersAgain();
  });

  it("is not even started for a caller that gave up before", async () => {
    const { ended } = startLong({ signal: AbortSignal.abort() });
    expect(await ended).toMatchObject({ code: "cancelled" });
  });

  it("answers several callers at once, each its own", async () => {
    const points = [0.2, 0.4, 0.6].map((east) => ({ lon: TILE.west + east, lat: TILE.south + 0.5 }));
    const oneByOne = await Promise.all(points.map((point) => askGround([point], LIMITS)));
    expect(oneByOne.flat()).toEqual(await askGround(points, LIMITS));
    expect(new Set(oneByOne.flat()).size).toBe(3);
  });

  it("is closed with its calls, twice is harmless, and may be asked again", async () => {
    const { running, ended } = startLong();
    await running;
    await Promise.all([compute.close(), compute.close()]);
    expect(await ended).toMatchObject({ code: "cancelled" });
    await compute.close();
    await answersAgain();
  });
});

describe.skipIf(!needs("/proc", existsSync("/proc/self/status")))("the compute child as the system shows it", () => {
  it("tells its memory", () => {
    expect(readResidentBytes(process.pid)).toBeGreaterThan(10e6);
    expect(readResidentBytes(undefined)).toBe(0);
  });

  it("is killed over its memory cap, and no other child with it (F26)", async () => {
    await answersAgain();
    const others = childPids();
    const small = createCompute({ memoryCapBytes: 1e6 });
    const { ended } = startLong({}, small);
    expect(await ended).toMatchObject({ code: "memory", message: expect.stringContaining("1 MB") });
    await answersAgain();
    expect(childPids()).toEqual(others);
  });

  it("that dies takes its call with it as worker_killed, and its parent lives (F2)", async () => {
    const before = childPids();
    const { running, ended } = startLong();
    await running;
    const [pid] = childPids().filter((child) => !before.includes(child));
    process.kill(pid, "SIGKILL");
    expect(await ended).toMatchObject({ code: "worker_killed", message: expect.stringContaining("SIGKILL") });
    await answersAgain();
    expect(childPids()).not.toContain(pid);
  });

  it("that stands still is killed at the deadline like any other (F6)", async () => {
    await answersAgain();
    const [pid] = await childrenOf(compute, () => answersAgain());
    process.kill(pid, "SIGSTOP");
    await expect(askHeight({ deadlineMs: 100 })).rejects.toMatchObject({ code: "timeout" });
    expect(childPids()).not.toContain(pid);
    await answersAgain();
  });

  it("stays warm from call to call, and is replaced after its number of coverages", async () => {
    await compute.close();
    const recycled = createCompute({ recycleAfter: 2 });
    const cover = () =>
      recycled.cover({ jobId: "j1", request: buildSmallRequest(), terrainDir, outDir: newOutDir() }, LIMITS);
    await cover();
    const first = childPids();
    expect(first).toHaveLength(1);
    await cover();
    await cover();
    expect(childPids()).not.toEqual(first);
    await recycled.close();
  });
});

describe.skipIf(!needs("/proc", existsSync("/proc/self/status")))("calls at the same time", () => {
  beforeEach(() => compute.close());

  it("one job that is cancelled, or past its deadline, leaves the other to its end", async () => {
    const giveUp = new AbortController();
    const cancelled = startLong({ signal: giveUp.signal });
    const late = startLong({ deadlineMs: 1_500 });
    const outDir = newOutDir();
    const other = compute.cover({ jobId: "j2", request: buildSmallRequest(), terrainDir, outDir }, LIMITS);
    await cancelled.running;
    giveUp.abort();
    expect(await cancelled.ended).toMatchObject({ code: "cancelled" });
    expect(await late.ended).toMatchObject({ code: "timeout" });
    expect((await other).map(({ name }) => name)).toContain("summary.json");
  });

  it("readiness, heights, places and a job answer while antennas are measured", async () => {
    const isotropic = { name: "a", description: { kind: "isotropic" as const, gainDbi: 3 }, pointer: "/antenna" };
    const measure = () => compute.antennaReport({ antennas: [isotropic], frequenciesGhz: [5.6] }, LIMITS);
    const [pid] = await childrenOf(compute, measure);
    process.kill(pid, "SIGSTOP");
    const measured = measure();
    await compute.terrainState(terrainDir, LIMITS);
    await answersAgain();
    await compute.answer({ request: buildSmallRequest(), at: { lon: -30.5, lat: 12.51 }, terrainDir }, LIMITS);
    await compute.cover({ jobId: "j1", request: buildSmallRequest(), terrainDir, outDir: newOutDir() }, LIMITS);
    process.kill(pid, "SIGCONT");
    expect(await measured).toBeDefined();
  });

  it("questions that shared a child which was killed for another one are answered", async () => {
    const [pid] = await childrenOf(compute, () => answersAgain());
    process.kill(pid, "SIGSTOP");
    const late = errorOf(askHeight({ deadlineMs: 100 }));
    const others = [answersAgain(), answersAgain()];
    expect(await late).toMatchObject({ code: "timeout" });
    await Promise.all(others);
  });

  it("questions whose child died are answered by the next", async () => {
    const [pid] = await childrenOf(compute, () => answersAgain());
    process.kill(pid, "SIGSTOP");
    const asked = [answersAgain(), answersAgain(), answersAgain()];
    process.kill(pid, "SIGKILL");
    await Promise.all(asked);
  });

  it("a question that is given up leaves the child to the others", async () => {
    const [pid] = await childrenOf(compute, () => answersAgain());
    process.kill(pid, "SIGSTOP");
    const giveUp = new AbortController();
    const abandoned = errorOf(askHeight({ ...LIMITS, signal: giveUp.signal }));
    const other = answersAgain();
    giveUp.abort();
    expect(await abandoned).toMatchObject({ code: "cancelled" });
    process.kill(pid, "SIGCONT");
    await other;
    expect(childPids()).toEqual([pid]);
  });
});

/** The error a call ends with. */
async function errorOf(call: Promise<unknown>): Promise<unknown> {
  return call.then(
    () => undefined,
    (error: unknown) => error,
  );
}

describe("an error of the child", () => {
  const at = { lon: -30.5, lat: 12.51 };

  it("keeps its code and its problems", async () => {
    const error = await errorOf(
      compute.answer({ request: buildSmallRequest({ sets: ["other"] }), at, terrainDir }, LIMITS),
    );
    expect(error).toBeInstanceOf(InputError);
    expect(error).toMatchObject({
      code: "terrain_set_unknown",
      problems: [{ pointer: "/terrain/sets/0", limit: "default" }],
    });
  });

  it("points to the rule that does not exist", async () => {
    const error = await errorOf(
      compute.answer({ request: buildSmallRequest({ rule: "none-such" }), at, terrainDir }, LIMITS),
    );
    expect(error).toMatchObject({ problems: [{ pointer: "/sectors/0/rule" }] });
  });

  it("is one for a folder that is not there, and for a surveyed profile of one point", async () => {
    expect(await errorOf(compute.terrainState(join(folder.path, "none"), LIMITS))).toMatchObject({
      code: "terrain_dir_missing",
    });
    const profile = { distanceKm: [0], groundAmslM: [1] };
    const request = buildSmallRequest();
    const oneMast = { ...request, sites: request.sites.slice(0, 1), sectors: request.sectors.slice(0, 2) };
    expect(await errorOf(compute.answer({ request: oneMast, at: null, profile }, LIMITS))).toMatchObject({
      problems: [{ pointer: "/profile/distanceKm", limit: 3 }],
    });
  });

  it("always has a code, also where a caller broke the contract", async () => {
    const broken = { request: buildSmallRequest(), at: null } as Parameters<Compute["answer"]>[0];
    expect(await errorOf(compute.answer(broken, LIMITS))).toMatchObject({ code: "internal_error" });
  });
});

/** Every value in an object that is none itself. */
function leavesOf(value: unknown): unknown[] {
  return typeof value === "object" && value !== null ? Object.values(value).flatMap(leavesOf) : [value];
}

describe("an answer", () => {
  it("holds no NaN and nothing undefined (F8)", async () => {
    for (const lat of [12.5, 12.5001, 12.51, 12.6, 12.9]) {
      const answer = await compute.answer(
        { request: buildSmallRequest(), at: { lon: -30.47, lat }, terrainDir },
        LIMITS,
      );
      expect(leavesOf(answer).filter((leaf) => leaf === undefined || Number.isNaN(leaf))).toEqual([]);
    }
  });

  it("off the tile is not known", async () => {
    const answer = await compute.answer(
      { request: buildSmallRequest(), at: { lon: -29.9, lat: 12.5 }, terrainDir },
      LIMITS,
    );
    expect(answer).toMatchObject({ verdict: "not-known", plan: null, probability: null, links: [] });
  });
});
