import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { deflateSync } from "node:zlib";
import { needs } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { lastState, post } from "../e2e/client.ts";
import { ridgeRequest } from "../e2e/requests.ts";
import { type RunningService, startService } from "../e2e/service.ts";
import { computeChildrenOf } from "./processes.ts";
import { summaryText } from "./results.ts";
import { type SmallTiff, smallTiff } from "./small-tiff.ts";

/** The mast of `ridgeRequest`. */
const MAST = { lon: -39.5, lat: 20.5 };
const KM_PER_DEG = { lon: 104.35, lat: 110.71 };

/** Rasters around the mast, finer than the tile below them: what of them is used comes first. */
const UNTAGGED: SmallTiff = {
  west: MAST.lon - 0.05,
  north: MAST.lat + 0.05,
  step: 0.0005,
  side: 200,
  height: () => 120,
};
const AROUND: SmallTiff = { ...UNTAGGED, noData: "-9999" };

/** Kilometres of a place from a point that many kilometres east of the mast. */
function kmFrom(eastKm: number, lon: number, lat: number): number {
  return Math.hypot((lon - MAST.lon) * KM_PER_DEG.lon - eastKm, (lat - MAST.lat) * KM_PER_DEG.lat);
}

const sound = smallTiff(AROUND);
const bomb = smallTiff({ ...AROUND, deflated: deflateSync(Buffer.alloc(200e6)) });

/** Refused files and why. */
const REFUSED: [string, Buffer, RegExp][] = [
  ["not-a-tiff.tif", Buffer.alloc(5000, "ncols 10\n"), /not a TIFF/],
  ["circle.tif", smallTiff({ ...AROUND, endless: true }), /circle/],
  ["cut-in-the-cells.tif", sound.subarray(0, 100), /./],
  ["cut-in-the-directory.tif", sound.subarray(0, sound.length - 40), /./],
  ["elsewhere.tif", smallTiff({ ...AROUND, epsg: 2154 }), /EPSG:2154/],
  ["short.hgt", Buffer.alloc(1000), /./],
];

/** Sets beside the default one, each with one raster. */
const SETS: Record<string, SmallTiff> = {
  hole: { ...AROUND, height: (lon, lat) => (kmFrom(1, lon, lat) < 0.5 ? -9999 : 120) },
  untagged: {
    ...UNTAGGED,
    sample: "int16",
    height: (lon, lat) => {
      if (kmFrom(1, lon, lat) < 0.5) return -32_768;
      if (kmFrom(-1.2, lon, lat) < 0.2) return 9_600;
      return kmFrom(-0.3, lon, lat) < 0.1 ? -431 : 120;
    },
  },
};

interface Summary {
  terrain: { files: { name: string }[]; refused: { name: string; reason: string }[] };
  warnings: { code: string }[];
  notKnownShare: number;
}

let clean: RunningService;
let hostile: RunningService;
beforeAll(async () => {
  clean = await startService();
  const dir = path.join(clean.dir.path, "hostile");
  const sets = ["bomb", ...Object.keys(SETS)];
  for (const name of sets) mkdirSync(path.join(dir, name), { recursive: true });
  for (const [name, bytes] of REFUSED) writeFileSync(path.join(dir, name), bytes);
  writeFileSync(path.join(dir, "bomb", "bomb.tif"), bomb);
  for (const [name, spec] of Object.entries(SETS)) writeFileSync(path.join(dir, name, `${name}.tif`), smallTiff(spec));
  writeFileSync(path.join(dir, "N20W040.hgt"), readFileSync(path.join(clean.dir.path, "terrain", "N20W040.hgt")));
  const declared = [
    { name: "default", path: ".", kind: "unknown" },
    ...sets.map((name) => ({ name, path: name, kind: "bare" })),
  ];
  writeFileSync(path.join(dir, "terrain.json"), JSON.stringify({ version: 1, sets: declared }));
  hostile = await startService({ FELLMARK_TERRAIN_DIR: dir });
});
afterAll(async () => {
  await hostile.remove();
  await clean.remove();
});

/** The summary of a request on one terrain set. */
async function coverOn(service: RunningService, set: string): Promise<Summary> {
  const { id } = (await post(service.address, { ...ridgeRequest(), terrain: { sets: [set] } })).body;
  expect(await lastState(service.address, id)).toMatchObject({ state: "done", error: null });
  return JSON.parse(await summaryText(service.address, id));
}

test("rasters that are cut, endless or in an unknown system are refused by name, and change no number (F6, F20, F23, F25)", async () => {
  const wanted = await coverOn(clean, "default");
  const got = await coverOn(hostile, "default");
  expect(got.terrain.refused.map(({ name }) => name).sort()).toEqual(REFUSED.map(([name]) => name).sort());
  for (const [name, , reason] of REFUSED) {
    expect(got.terrain.refused.find((file) => file.name === name)?.reason).toMatch(reason);
  }
  const numbers = ({ terrain, warnings: _, ...rest }: Summary & { id?: string }) => ({
    ...rest,
    id: 0,
    files: terrain.files,
  });
  expect(numbers(got)).toEqual(numbers(wanted));
});

test("a hole makes itself and its shadow unknown, never 0 m and never no service (F23)", async () => {
  const { notKnownShare, terrain } = await coverOn(hostile, "hole");
  expect(terrain.files.map(({ name }) => name)).toEqual(["hole/hole.tif"]);
  // Disc of 2 km, hole of 0.5 km 1 km away: all between the two tangents beyond the near arc of the hole.
  const unknownShare = (holeKm: number) => {
    const halfAngle = Math.asin(holeKm);
    const near = Math.cos(halfAngle) * holeKm - (Math.PI / 2 - halfAngle) * holeKm ** 2;
    return (4 * halfAngle - near) / (4 * Math.PI);
  };
  // The hole may grow by the cell that would blend it in and by the half of one of the lattice.
  expect(notKnownShare).toBeGreaterThan(unknownShare(0.5 - 0.04));
  expect(notKnownShare).toBeLessThan(unknownShare(0.5 + 0.1));
});

test("heights that no ground has are flagged; the classic mark of a void counts without a tag, the Dead Sea does not (F24)", async () => {
  const { notKnownShare, warnings } = await coverOn(hostile, "untagged");
  const codes = warnings.map(({ code }) => code);
  expect(codes).toContain("terrain_too_high");
  expect(codes).not.toContain("terrain_too_low");
  expect(notKnownShare).toBeGreaterThan(0.1);
});

describe("a raster whose cells inflate to 200 MB (F25)", () => {
  test("is refused with the mast's request, and the service goes on", async () => {
    const reply = await post<{ code: string; detail: string }>(hostile.address, {
      ...ridgeRequest(),
      terrain: { sets: ["bomb"] },
    });
    expect([reply.status, reply.body.code]).toEqual([422, "raster_corrupt"]);
    expect((await coverOn(hostile, "hole")).terrain.files).toHaveLength(1);
  });

  test.skipIf(!needs("/proc", existsSync("/proc/self/status")))("takes no memory for them", () => {
    for (const pid of computeChildrenOf(hostile.child.pid)) {
      const peakKb = Number(/^VmHWM:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, "latin1"))?.[1]);
      expect(peakKb).toBeLessThan(400_000);
    }
  });
});
