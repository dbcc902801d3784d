import { execFile } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { findMagneticDeclination } from "@fellmark/geodesy";
import { buildIslandRequest, findIslandAddresses, writeIsland } from "@fellmark/island";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

const MAIN = fileURLToPath(new URL("../../dist/main.js", import.meta.url));

let folder: TempDir;

/** An address of the island that needs a taller mount. */
const { lon, lat } = findIslandAddresses()[1];
const AT = [`--at=${lon},${lat}`, "--terrain", "terrain"];

/** Measured links: one that can be, one whose level no receiver reads, one of a sector that there is not. */
const LINKS = [
  { id: "u1", sector: "east-top-210", lon, lat, heightAglM: 10, signalDbm: -75 },
  { id: "u2", sector: "east-top-210", lon, lat, heightAglM: 10, signalDbm: 4000 },
  { id: "\u001b[31mu3", sector: "none", lon, lat, signalDbm: -70 },
];

beforeAll(async () => {
  folder = createTempDir();
  await writeIsland(join(folder.path, "terrain"));
  writeFileSync(join(folder.path, "request.json"), JSON.stringify(buildIslandRequest()));
  writeFileSync(join(folder.path, "links.json"), JSON.stringify(LINKS));
});
afterAll(() => folder.remove());

function fellmark(...words: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  return new Promise((resolve) => {
    const options = { cwd: "/", env: { ...process.env, INIT_CWD: folder.path } };
    const child = execFile(process.execPath, [MAIN, ...words], options, (_error, stdout, stderr) => {
      resolve({ code: child.exitCode ?? -1, stdout, stderr });
    });
  });
}

const bytesOf = (name: string) => readFileSync(join(folder.path, name));

describe("fellmark answer", () => {
  it("prints verdict, offer and reason first, then the mount, and draws the path", async () => {
    const run = await fellmark(
      "answer",
      "request.json",
      ...AT,
      "--svg",
      "way.svg",
      "--png",
      "way.png",
      "--json",
      "a.json",
    );
    expect(run.code).toBe(0);
    const { verdict, leastHeightAglM, reason, profile } = JSON.parse(bytesOf("a.json").toString());
    expect(profile.groundAmslM.length).toBe(profile.distanceM.length);
    expect(verdict).toBe("serviceable-at-height");
    const [first, second] = run.stdout.split("\n");
    expect(first).toMatch(/^SERVICEABLE WITH A 10 M MOUNT: hearth-25 \(25\/5 Mbit\/s\), 9\d % chance\. At 6 m: \d %$/);
    expect(leastHeightAglM).toBe(10);
    expect(second.trim()).toBe(reason);
    expect(run.stdout).toContain(`mount   ${leastHeightAglM} m above ground, aim at east-top-210`);
    expect(run.stdout.split("\n").length).toBeLessThan(50);
    expect(bytesOf("way.svg").toString()).toMatch(/^<svg /);
    expect(bytesOf("way.png").subarray(1, 4).toString()).toBe("PNG");
  });

  it("prints the aim by a compass as well on a day that is asked for, and refuses a day without a model", async () => {
    const run = await fellmark("answer", "request.json", ...AT, "--compass", "2026-11-30");
    const [, trueDeg, magneticDeg] = /([\d.]+) degrees true \(([\d.]+) magnetic, WMM-2025\)/.exec(run.stdout) ?? [];
    const { declinationDeg } = findMagneticDeclination({ lon, lat }, "2026-11-30") ?? { declinationDeg: Number.NaN };
    expect(Math.abs(declinationDeg)).toBeGreaterThan(5);
    expect((Number(trueDeg) - declinationDeg + 360) % 360).toBeCloseTo(Number(magneticDeg), 0);
    for (const day of ["2031-01-01", "tomorrow"]) {
      const refused = await fellmark("answer", "request.json", ...AT, "--compass", day);
      expect([refused.code, JSON.parse(refused.stderr).detail]).toEqual([2, expect.stringContaining(`got "${day}"`)]);
    }
  });

  it("answers for another height and another plan", async () => {
    const run = await fellmark("answer", "request.json", ...AT, "--height", "12", "--plan", "hearth-100");
    expect([run.code, run.stdout]).toEqual([
      0,
      expect.stringMatching(/^SERVICEABLE AT 12 M: hearth-100 \(100\/20 Mbit\/s\), \d+ % chance\n/),
    ]);
    expect(run.stdout).toContain("hearth-100 (100/20 Mbit/s): ");
  });

  it("takes another height and draws the way over a surveyed profile too", async () => {
    const whole = buildIslandRequest();
    const sites = whole.sites.slice(0, 1);
    const sectors = whole.sectors.filter(({ site }) => site === sites[0].id);
    const model = { clutter: { class: "open", heightM: 0 } };
    writeFileSync(join(folder.path, "one-site.json"), JSON.stringify({ ...whole, model, sites, sectors }));
    // A ridge of 15 m half way of 2 km over flat ground, under a mast of 30 m.
    const profile = { distanceKm: [0, 0.9, 1, 1.1, 2], groundAmslM: [100, 100, 115, 100, 100] };
    writeFileSync(join(folder.path, "ridge.json"), JSON.stringify(profile));
    const words = ["answer", "one-site.json", "--profile", "ridge.json", "--json", "r.json", "--svg", "ridge.svg"];
    expect((await fellmark(...words, "--height", "3", "--plan", "hearth-100")).code).toBe(0);
    expect(JSON.parse(bytesOf("r.json").toString())).toMatchObject({
      ...{ heightAglM: 3, reason: expect.stringContaining("hearth-100 (100/20 Mbit/s)") },
    });
    expect(bytesOf("ridge.svg").toString()).toMatch(/^<svg /);
  });

  it.each([
    ["--height", "tall"],
    ["--height", "501"],
    ["--plan", "none"],
  ])("refuses %s %s", async (name, value) => {
    const run = await fellmark("answer", "request.json", ...AT, name, value);
    const { errors } = JSON.parse(run.stderr);
    expect([run.code, run.stdout, errors[0].pointer]).toEqual([2, "", name === "--plan" ? "/plan" : name]);
  });
});

describe("fellmark calibrate", () => {
  it("tells whether the calibration helps, and which rows were left out", async () => {
    const words = ["request.json", "--terrain", "terrain", "--links", "links.json", "--json", "c.json"];
    const run = await fellmark("calibrate", ...words);
    expect([run.code, run.stdout]).toEqual([0, expect.stringMatching(/^NOT APPLIED: 1 links are too few to judge by/)]);
    const { rejected, calibration } = JSON.parse(bytesOf("c.json").toString());
    expect(rejected.map(({ row, field }: { row: number; field: string }) => [row, field])).toEqual([
      [1, "signalDbm"],
      [2, "sector"],
    ]);
    expect(calibration.version).toMatch(/^c[0-9a-f]{16}$/);
    // An id of somebody's table does not reach the terminal as a command to it.
    expect(run.stdout).toContain("\ufffd[31mu3");
  });

  it("refuses a network without measured levels", async () => {
    const run = await fellmark("calibrate", "request.json", "--terrain", "terrain");
    // On a busy machine a line of progress comes first.
    const problem = JSON.parse(run.stderr.slice(run.stderr.indexOf("{")));
    expect([run.code, problem.errors[0].pointer]).toEqual([2, "/links"]);
  });
});
