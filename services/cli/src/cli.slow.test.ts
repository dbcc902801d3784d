import { execFile } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildIslandRequest, findIslandAddresses, writeIsland } from "@fellmark/island";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { runCaptured } from "./testing/run-captured.ts";

const MAIN = fileURLToPath(new URL("../dist/main.js", import.meta.url));
const RASTERS = [
  ...[
    "loss",
    "otherSites",
    "ownSite",
    "probability",
    "rateDown",
    "rateUp",
    "secondServer",
    "server",
    "signalDown",
    "signalUp",
  ],
  ...["sinrDown", "sinrUp", "emitters", "tier"],
];

/** Order of the terms of a budget. */
const TERMS = [
  [
    "power",
    "per-chain",
    "feeder",
    "connectors",
    "eirp-back-off",
    "antenna",
    "free-space",
    "diffraction",
    "gas",
    "clutter-path",
    "clutter-mast",
  ],
  ["clutter-cpe", "cpe-antenna", "pointing", "polarisation", "signal", "noise", "interference", "sinr"],
  ["fade-margin", "confidence-margin"],
].flat();

/** Profile of rural-1 of ../shared/measured/links-915mhz.json (MIT, (c) 2024 B. da Silva Duarte, M. H. Costa Dias). */
const SURVEYED = {
  distanceKm: Array.from({ length: 30 }, (_, index) => Number((index * (0.115 / 29)).toFixed(5))),
  groundAmslM: [528, 528, 528, 528, ...Array(8).fill(529), ...Array(9).fill(530), ...Array(9).fill(531)],
  clutterHeightM: [15, ...Array(28).fill(0), 10],
};

interface Run {
  code: number;
  stdout: string;
  stderr: string;
}

interface Problem {
  code: string;
  errors: { pointer: string; detail: string; limit?: unknown }[];
}

let folder: TempDir;

/** The request of the demo's island with a small disc; its only site is the western one. */
const request = () => {
  const whole = buildIslandRequest();
  const sites = whole.sites.slice(0, 1);
  const sectors = whole.sectors.filter(({ site }) => site === sites[0].id);
  return { ...whole, area: { radiusM: 1500, cellM: 30 }, sites, sectors };
};

/** Runs the command line from another folder than the caller's, as npm does. Paths are relative to the caller's. */
function fellmark(...words: string[]): Promise<Run> {
  return new Promise((resolve) => {
    const options = { cwd: "/", env: { ...process.env, INIT_CWD: folder.path } };
    const child = execFile(process.execPath, [MAIN, ...words], options, (_error, stdout, stderr) => {
      resolve({ code: child.exitCode ?? -1, stdout, stderr });
    });
  });
}

/** The problem document on stderr. */
function problemOf({ stderr }: Run): Problem {
  return JSON.parse(stderr.slice(stderr.indexOf("{")));
}

const write = (name: string, value: unknown) => writeFileSync(join(folder.path, name), JSON.stringify(value));
const read = (name: string) => JSON.parse(readFileSync(join(folder.path, name), "utf8"));

beforeAll(async () => {
  folder = createTempDir();
  for (const dir of ["terrain", "empty", "spoilt"]) mkdirSync(join(folder.path, dir));
  await writeIsland(join(folder.path, "terrain"));
  writeFileSync(join(folder.path, "spoilt", "N00E000.hgt"), "short");
  write("request.json", request());
  write("wider.json", { ...request(), area: { radiusM: 3000, cellM: 30 } });
  write("unknown.json", { ...request(), cpe: { ...request().cpe, heightM: 6 } });
  write("at-sea.json", { ...request(), sites: [{ id: "west-top", lon: 10, lat: 10 }] });
  write("profile.json", SURVEYED);
});
afterAll(() => folder.remove());

describe("fellmark cover", () => {
  it("writes its files relative to the caller's folder, and prints the result", async () => {
    const run = await fellmark("cover", "request.json", "--terrain", "terrain", "--out", "made/here", "--threads", "2");
    expect([run.code, run.stdout]).toEqual([0, expect.stringContaining("hearth-100")]);
    const out = join(folder.path, "made/here");
    expect(readdirSync(out).sort()).toEqual([
      "map.png",
      "rasters",
      "summary.json",
      "tier-classes.bin",
      "tiers.geojson",
    ]);
    expect(readdirSync(join(out, "rasters")).sort()).toEqual(RASTERS.map((name) => `${name}.tif`).sort());
    const summary = read("made/here/summary.json");
    expect(summary).toMatchObject({ version: 1, id: expect.stringMatching(/^j[0-9a-f]{64}$/), notKnownShare: 0 });
    expect(summary.lattice).toMatchObject({ zoom: 12, cellM: expect.closeTo(32.2, 1) });
    const tiers = read("made/here/tiers.geojson");
    for (const { properties } of tiers.features) {
      expect(Object.keys(properties)).toEqual(["class", "plan", "downMbps", "upMbps", "areaKm2", "share"]);
    }
  });

  it("leaves nothing behind when the mast is outside the terrain, and says so and what the terrain covers with 3", async () => {
    const run = await fellmark("cover", "at-sea.json", "--terrain", "terrain", "--out", "none");
    expect([run.code, problemOf(run).code]).toEqual([3, "mast_not_known"]);
    expect(run.stderr).toMatch(
      /^! outside_terrain: longitude 10, latitude 10 is outside the terrain, which covers longi/,
    );
    expect(readdirSync(join(folder.path, "none"))).toEqual([]);
  });
});

describe("slips in a request", () => {
  const slips = () => {
    const [sector, ...others] = request().sectors;
    return {
      ...request(),
      sectors: [{ ...sector, heightAglM: 100 }, ...others],
      cpe: { ...request().cpe, powerDbm: 0.5 },
    };
  };

  it("are told before the work of cover, not with --json-errors", async () => {
    write("slips.json", slips());
    const words = ["cover", "slips.json", "--terrain", "terrain", "--out", "slips"];
    const { code, stderr } = await fellmark(...words);
    expect(code).toBe(0);
    const feet = stderr.indexOf("! height_in_feet: 100 m above ground");
    expect(stderr.indexOf("! power_in_watts: a power of 0.5 dBm")).toBeGreaterThan(feet);
    expect(stderr.indexOf("coverage =")).toBeGreaterThan(feet);
    expect((await fellmark(...words, "--json-errors")).stderr).toBe("");
  });

  it("stand before the warnings of an answer", async () => {
    const [{ lon, lat }] = findIslandAddresses();
    write("slips.json", slips());
    const words = ["answer", "slips.json", `--at=${lon},${lat}`, "--terrain", "terrain", "--json", "slips-answer.json"];
    const { code, stderr } = await fellmark(...words);
    expect([code, stderr]).toEqual([0, expect.stringContaining("at /sectors/0/heightAglM")]);
    const [first, second] = read("slips-answer.json").warnings;
    expect([first, second]).toMatchObject([{ code: "height_in_feet" }, { code: "power_in_watts" }]);
  });
});

describe("fellmark answer", () => {
  const [{ lon, lat }] = findIslandAddresses();

  it("takes negative degrees and gives each term in order, adding up both ways within 0.001 dB", async () => {
    const words = ["answer", "wider.json", `--at=${lon},${lat}`, "--terrain", "terrain", "--json", "answer.json"];
    const run = await fellmark(...words);
    expect([run.code, run.stderr]).toEqual([0, ""]);
    const answer = read("answer.json");
    expect(answer).toMatchObject({ version: 1, at: [lon, lat], heightAglM: 6 });
    expect(answer.links.map((link: { sector: string }) => link.sector).sort()).toEqual(["west-top-0", "west-top-90"]);
    for (const link of answer.links) {
      for (const [terms, sinrDb] of [
        [link.down, link.sinrDownDb],
        [link.up, link.sinrUpDb],
      ]) {
        expectToAddUp(terms, sinrDb);
      }
    }
  });

  it("takes a surveyed profile, without a place", async () => {
    const run = await fellmark("answer", "request.json", "--profile", "profile.json", "--json", "surveyed.json");
    expect(run.code).toBe(0);
    const { at, links } = read("surveyed.json");
    expect(at).toBeNull();
    expect(links[0]).toMatchObject({ distanceM: 115, azimuthDeg: null });
    expectToAddUp(links[0].down, links[0].sinrDownDb);
    // Slant length 116.6 m at 5.745 GHz: 92.45 + 20 log10(5.745) + 20 log10(0.1166) = 88.97 dB (ITU-R P.525-4 eq 4).
    expect(dbOf(links[0].down, "free-space")).toBeCloseTo(-88.97, 1);
  });

  function dbOf(terms: { term: string; db: number }[], name: string): number {
    return terms.find(({ term }) => term === name)?.db ?? Number.NaN;
  }

  /** A sum line repeats the running total; noise and interference count as what they take off the signal. */
  function expectToAddUp(terms: { term: string; db: number }[], sinrDb: number): void {
    expect(terms.map(({ term }) => term)).toEqual(TERMS);
    const total = (to: string) =>
      terms
        .slice(0, TERMS.indexOf(to))
        .filter(({ term }) => term !== "signal")
        .reduce((sum, { db }) => sum + db, 0);
    for (const sum of ["signal", "sinr"]) expect(Math.abs(total(sum) - dbOf(terms, sum))).toBeLessThan(0.001);
    expect(Math.abs(sinrDb - dbOf(terms, "sinr"))).toBeLessThan(0.001);
  }
});

describe("fellmark terrain check", () => {
  it("lists what it uses and what it refuses", async () => {
    const good = await fellmark("terrain", "check", "terrain");
    expect([good.code, good.stdout]).toEqual([0, expect.stringMatching(/S33W119\.hgt +hgt EPSG:4326 +3601 x 3601/)]);
    const bad = await fellmark("terrain", "check", "spoilt");
    expect([bad.code, bad.stdout]).toEqual([3, expect.stringContaining("refused N00E000.hgt: ")]);
    expect(problemOf(bad).code).toBe("terrain_empty");
  });
});

describe("what cannot be done", () => {
  const on = ["--terrain", "terrain"];

  it.each<[string, string, string[]]>([
    ["an unknown key", "/cpe/heightM", ["cover", "unknown.json", ...on, "--out", "x"]],
    ["no such file", "", ["cover", "none.json", ...on, "--out", "x"]],
    ["no --out", "--out", ["cover", "request.json", ...on]],
    ["no threads", "--threads", ["cover", "request.json", ...on, "--out", "x", "--threads", "0"]],
    ["half a place", "--at", ["answer", "request.json", ...on, "--at=-118.4"]],
    ["a place that is not a number", "--at", ["answer", "request.json", ...on, "--at=-118.4,"]],
    ["a place beyond the pole", "--at", ["answer", "request.json", ...on, "--at=-118.4,91"]],
    ["no place", "--at", ["answer", "request.json", ...on]],
    ["an unknown option", "--verbose", ["answer", "request.json", "--verbose"]],
    ["an unknown command", "", ["predict"]],
    ["no command", "", []],
  ])("%s ends with 2 and names %j", async (_what, pointer, words) => {
    const run = await runCaptured(words, { callerDir: folder.path });
    expect([run.code, problemOf(run).errors[0].pointer]).toEqual([2, pointer]);
  });

  it("bad input is a problem document on stderr, nothing else", async () => {
    const run = await fellmark("cover", "unknown.json", ...on, "--out", "x");
    expect([run.code, run.stdout]).toEqual([2, ""]);
    expect(JSON.parse(run.stderr)).toEqual({
      type: "about:blank",
      title: "invalid input",
      code: "invalid_input",
      detail: '/cpe/heightM: unknown field; did you mean "heightAglM"?',
      errors: [{ pointer: "/cpe/heightM", detail: 'unknown field; did you mean "heightAglM"?' }],
    });
  });

  it.concurrent.each<[string, string, string[]]>([
    ["no terrain at all", "terrain_empty", ["cover", "request.json", "--terrain", "empty", "--out", "x"]],
    ["a terrain folder that is not there", "terrain_dir_missing", ["terrain", "check", "nowhere"]],
    [
      "terrain that cannot be read",
      "terrain_empty",
      ["answer", "request.json", "--terrain", "spoilt", "--at=-118,-32"],
    ],
  ])("%s ends with 3 and %s", async (_what, code, words) => {
    const run = await fellmark(...words);
    expect([run.code, problemOf(run).code]).toEqual([3, code]);
  });

  it("a profile that falls back on itself is named by the point", async () => {
    write("bad-profile.json", { ...SURVEYED, distanceKm: SURVEYED.distanceKm.with(7, 0) });
    const run = await fellmark("answer", "request.json", "--profile", "bad-profile.json");
    expect([run.code, problemOf(run).errors[0].pointer]).toEqual([2, "/profile/distanceKm/7"]);
  });
});
