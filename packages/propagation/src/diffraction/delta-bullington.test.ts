import { readFileSync } from "node:fs";
import { join } from "node:path";
import { needsShared, sharedDir } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import type { PathProfile } from "../path/path-profile.ts";
import { computeDeltaBullington, type DiffractionResult } from "./delta-bullington.ts";

const PUBLISHED_SPEED = 0.2998;
const FOUR_THIRDS_M = 6_371_000 * (4 / 3);

function profileOf(distanceKm: number[], heightAmslM: number[]): PathProfile {
  const bareAmslM = Float64Array.from(heightAmslM);
  return { distanceM: Float64Array.from(distanceKm, (km) => km * 1000), surfaceAmslM: bareAmslM, bareAmslM };
}

function lossOver(profile: PathProfile, txHeightAglM: number, rxHeightAglM: number, frequencyGhz = 5.8) {
  const path = { effectiveEarthRadiusM: FOUR_THIRDS_M, polarisation: "vertical", seaFraction: 0 } as const;
  const radio = { frequencyGhz, wavelengthM: PUBLISHED_SPEED / frequencyGhz };
  return computeDeltaBullington({ profile, txHeightAglM, rxHeightAglM, ...radio, ...path });
}

it("gives the worked ridge (independent script of the standards data, id ridge-4-10-60-5.8)", () => {
  const result = lossOver(profileOf([0, 4, 10], [0, 60, 0]), 30, 10);
  expect(result.lossDb).toBeCloseTo(36.9043015, 6);
  expect(result.nu).toBeCloseTo(5.0042985, 6);
  expect(result.transHorizon).toBe(true);
  expect([result.smoothTxAmslM, result.smoothRxAmslM]).toEqual([0, 0]);
});

it("is the same from either end", () => {
  const there = lossOver(profileOf([0, 2, 3.5, 5, 7, 9, 12], [100, 105, 140, 120, 150, 90, 80]), 25, 8);
  const back = lossOver(profileOf([0, 3, 5, 7, 8.5, 10, 12], [80, 90, 150, 120, 140, 105, 100]), 8, 25);
  expect(there.lossDb).toBeCloseTo(back.lossDb, 9);
});

it("does not change when the whole profile is lifted", () => {
  const low = lossOver(profileOf([0, 2, 5, 7], [100, 105, 140, 90]), 25, 8).lossDb;
  expect(lossOver(profileOf([0, 2, 5, 7], [1100, 1105, 1140, 1090]), 25, 8).lossDb).toBeCloseTo(low, 9);
});

it("gives NaN for a profile with a gap, and refuses one that does not rise", () => {
  expect(lossOver(profileOf([0, 1, 2], [0, Number.NaN, 0]), 30, 10).lossDb).toBeNaN();
  expect(() => lossOver(profileOf([0, 2, 2], [0, 0, 0]), 30, 10)).toThrow(RangeError);
});

it("takes a path of two points as one without obstacles", () => {
  expect(lossOver(profileOf([0, 0.03], [0, 0]), 30, 10).lossDb).toBe(0);
});

interface PublishedCase {
  id: string;
  profile: string;
  clutter_rule: string;
  f_GHz: number;
  htg_m: number;
  hrg_m: number;
  pol: "H" | "V";
  sea_fraction: number;
  a_p_km: number;
  expected: Partial<Record<"Lbulla" | "Lbulls" | "Ldsph" | "Ld" | "hstd" | "hsrd", number>>;
}

interface PublishedFile {
  profiles: Record<string, { d_km: number[]; h_m: number[]; clutter_m: number[] }>;
  cases: PublishedCase[];
}

const FIELDS: Record<keyof PublishedCase["expected"], keyof DiffractionResult> = {
  Lbulla: "bullingtonActualDb",
  Lbulls: "bullingtonSmoothDb",
  Ldsph: "sphericalDb",
  Ld: "lossDb",
  hstd: "smoothTxAmslM",
  hsrd: "smoothRxAmslM",
};

function runPublished(file: PublishedFile, one: PublishedCase): DiffractionResult {
  const { d_km, h_m, clutter_m } = file.profiles[one.profile];
  const pathKm = d_km[d_km.length - 1];
  // A point at exactly 50 m keeps its clutter, and 5 - 4.95 is a little less than 0.05.
  const marginKm = one.clutter_rule.includes("50 m") ? 0.05 - 1e-9 : 1e-9;
  const surface = h_m.map((h, i) => (d_km[i] < marginKm || pathKm - d_km[i] < marginKm ? h : h + clutter_m[i]));
  return computeDeltaBullington({
    profile: { ...profileOf(d_km, h_m), surfaceAmslM: Float64Array.from(surface) },
    txHeightAglM: one.htg_m,
    rxHeightAglM: one.hrg_m,
    frequencyGhz: one.f_GHz,
    wavelengthM: PUBLISHED_SPEED / one.f_GHz,
    effectiveEarthRadiusM: one.a_p_km * 1000,
    polarisation: one.pol === "H" ? "horizontal" : "vertical",
    seaFraction: one.sea_fraction,
  });
}

describe.skipIf(!needsShared())(
  "published intermediates of P.1812-6 and P.452-18 (delta_bullington_small.json)",
  () => {
    it("agree within 1e-6 dB with the official wavelength", () => {
      const path = join(sharedDir, "standards", "delta_bullington_small.json");
      const file = JSON.parse(readFileSync(path, "utf8")) as PublishedFile;
      let worst = 0;
      let count = 0;
      for (const one of file.cases) {
        const result = runPublished(file, one);
        for (const [name, field] of Object.entries(FIELDS)) {
          const expected = one.expected[name as keyof PublishedCase["expected"]];
          if (expected === undefined) continue;
          worst = Math.max(worst, Math.abs((result[field] as number) - expected));
          count += 1;
        }
      }
      expect(count).toBeGreaterThan(0);
      expect(worst).toBeLessThan(1e-6);
    });
  },
);
