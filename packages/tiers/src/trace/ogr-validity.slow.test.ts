import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { createSeededRandom, createTempDir, needsOsgeo, PYTHON } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { findGeometryFaults } from "../testing/geometry-faults.ts";
import { traceTiers } from "./trace-tiers.ts";

const COUNT_INVALID = `
import sys
from osgeo import ogr
ogr.UseExceptions()
source = ogr.Open(sys.argv[1])
print(sum(not feature.GetGeometryRef().IsValid() for feature in source.GetLayer()))
`;

const PLANS = [1, 2, 3, 4, 5].map((plan) => ({ id: `p${plan}`, downMbps: 100 / plan, upMbps: 20 / plan }));

describe.skipIf(!needsOsgeo())("OGR's IsValid", () => {
  it.each([
    { simplifyCells: 0, speckAreaM2: 0 },
    { simplifyCells: 1, speckAreaM2: 2500 },
    { simplifyCells: 6, speckAreaM2: 0 },
  ])("holds for every feature of a raster full of specks and corners, %o", (settings) => {
    const random = createSeededRandom(settings.simplifyCells);
    const coarse = Uint8Array.from({ length: 40 * 40 }, () => Math.floor(6 * random()));
    const classes = Uint8Array.from({ length: 240 * 240 }, (_, at) => {
      const isSpeck = random() < 0.2;
      return isSpeck ? Math.floor(6 * random()) : coarse[40 * Math.floor(at / 240 / 6) + Math.floor((at % 240) / 6)];
    });
    const window = { zoom: 12, col0: 300_000, row0: 380_000, width: 240, height: 240 };
    const { collection } = traceTiers(window, classes, { plans: PLANS, ...settings });
    expect(findGeometryFaults(collection)).toEqual([]);
    const dir = createTempDir();
    const path = join(dir.path, "tiers.geojson");
    writeFileSync(path, JSON.stringify(collection));
    expect(execFileSync(PYTHON, ["-c", COUNT_INVALID, path], { encoding: "utf8" }).trim()).toBe("0");
    dir.remove();
  });
});
