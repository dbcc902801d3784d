import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { type Compute, createCompute } from "@fellmark/compute";
import { parseCoverageRequest } from "@fellmark/network";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { findGeometryFaults, type TierCollection } from "@fellmark/tiers";
import { afterAll, beforeAll, expect, test } from "vitest";
import { ridgeRequest } from "../e2e/requests.ts";
import { smallTiff } from "./small-tiff.ts";

const LIMITS = { deadlineMs: 60_000 };

/** Where the co-channel overlap of two rasters lies: the antimeridian, and far from it for comparison. */
const SEAMS = { over: { east: 180, west: -180 }, moved: { east: 0, west: 0 } };
type Where = keyof typeof SEAMS;

let folder: TempDir;
let compute: Compute;
beforeAll(() => {
  folder = createTempDir();
  compute = createCompute();
  for (const where of ["over", "moved"] as const) writeRasters(where);
});
afterAll(async () => {
  await compute.close();
  folder.remove();
});

/** Hills on both sides of the co-channel overlap, by the distance from it. */
function writeRasters(where: Where): void {
  const { east, west } = SEAMS[where];
  const common = { north: 20.6, step: 0.001, side: 200 };
  const hills = (fromOverlap: number, lat: number) => 150 + 20 * Math.sin(fromOverlap * 250) * Math.cos(lat * 300);
  mkdirSync(path.join(folder.path, where));
  const put = (name: string, from: number, overlap: number) =>
    writeFileSync(
      path.join(folder.path, where, name),
      smallTiff({ ...common, west: from, height: (lon, lat) => hills(lon - overlap, lat) }),
    );
  put("a.tif", east - 0.2, east);
  put("b.tif", west, west);
}

/** Mast 0.01 degrees west of the co-channel overlap, one sector towards the co-channel overlap and one whose beam lies on both sides of north. */
function requestAt(where: Where) {
  const request = ridgeRequest({ lon: SEAMS[where].east - 0.01 });
  const sectors = request.sectors.map((sector, index) => ({ ...sector, azimuthDeg: [75, 355][index] }));
  return parseCoverageRequest({
    ...request,
    model: { clutter: { class: "open" } },
    sectors,
    sites: [{ ...request.sites[0], lat: 20.5 }],
  });
}

async function coverAt(where: Where) {
  const outDir = path.join(folder.path, `${where}-out`);
  mkdirSync(outDir);
  await compute.cover(
    { jobId: "j", request: requestAt(where), terrainDir: path.join(folder.path, where), outDir },
    LIMITS,
  );
  const read = (name: string) => JSON.parse(readFileSync(path.join(outDir, name), "utf8"));
  return { summary: read("summary.json"), tiers: read("tiers.geojson") as TierCollection };
}

const RADIUS_DEG = 0.025;

// F33
test("a mast at 179.99 covers what it covers at -0.01, its polygons cut in two at the antimeridian", async () => {
  const over = await coverAt("over");
  const moved = await coverAt("moved");
  for (const part of ["cells", "notKnownShare", "tiers", "noService", "sectors"]) {
    expect(over.summary[part], part).toEqual(moved.summary[part]);
  }
  expect(over.summary.notKnownShare).toBe(0);
  expect(over.summary.sectors.map((sector: { servedCells: number }) => sector.servedCells > 0)).toEqual([true, true]);

  expect(findGeometryFaults(over.tiers)).toEqual([]);
  expect(over.tiers.features.map(({ properties }) => properties)).toEqual(
    moved.tiers.features.map(({ properties }) => properties),
  );
  const sides = new Set<number>();
  for (const ring of ringsOf(over.tiers)) {
    const side = Math.sign(ring[0][0]);
    sides.add(side);
    for (const [lon] of ring) {
      expect(side * lon).toBeLessThanOrEqual(180);
      expect(side * lon).toBeGreaterThan(180 - RADIUS_DEG - 0.01);
    }
  }
  expect(sides).toEqual(new Set([1, -1]));
});

function ringsOf({ features }: TierCollection): number[][][] {
  return features.flatMap(({ geometry }) =>
    geometry.type === "Polygon" ? geometry.coordinates : geometry.coordinates.flat(),
  );
}

test("an address at -179.995 has the answer of one at 0.005", async () => {
  const answerAt = (where: Where, lon: number) =>
    compute.answer(
      { request: requestAt(where), at: { lon, lat: 20.503 }, terrainDir: path.join(folder.path, where) },
      LIMITS,
    );
  const [over, moved] = [await answerAt("over", -179.995), await answerAt("moved", 0.005)];
  expect(over.links).toHaveLength(2);
  over.links.forEach((link, index) => {
    const twin = moved.links[index];
    for (const direction of ["down", "up"] as const) {
      expect(link[direction].map(({ term }) => term)).toEqual(twin[direction].map(({ term }) => term));
      link[direction].forEach(({ db }, at) => {
        expect(Math.abs(db - twin[direction][at].db)).toBeLessThan(1e-5);
      });
    }
    expect(link.azimuthDeg).toBeCloseTo(twin.azimuthDeg as number, 6);
  });
  expect([over.verdict, over.plan]).toEqual([moved.verdict, moved.plan]);
});
