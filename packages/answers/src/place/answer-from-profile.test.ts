import { computeP1812MedianLossDb, raiseByPathClutter } from "@fellmark/propagation";
import { MEAN_EARTH_RADIUS_KM } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { buildRowRequest } from "../scene/testing/hilly-scene.ts";
import { answerFromProfile } from "./answer-from-profile.ts";

const PROFILE = { distanceKm: [0, 1, 2, 3, 4], groundAmslM: [100, 100, 100, 100, 100] };
const ask = (model: object, profile = PROFILE) => answerFromProfile(buildRowRequest({ model }), profile, null);
const pathClutterDb = ({ links: [best] }: ReturnType<typeof ask>) =>
  best.down.find(({ term }) => term === "clutter-path")?.db ?? 0;

describe("a surveyed profile", () => {
  const trees = { ...PROFILE, clutterHeightM: [0, 20, 20, 20, 0] };

  it("has its clutter stand on the way by method path-clutter alone; a class stands at the ends", () => {
    const clutter = { class: "open", heightM: 0 };
    expect(pathClutterDb(ask({ clutter }, trees))).toBeLessThan(-10);
    expect(pathClutterDb(ask({ clutter }))).toBe(0);
    expect(pathClutterDb(ask({ clutter, method: "end-clutter" }, trees))).toBe(0);
    expect(pathClutterDb(ask({ clutter: { class: "trees" } }))).toBe(0);
  });

  it("knows nothing of clutter that only rasters would tell", () => {
    const { clutter, verdict } = ask({ clutter: { canopy: "woods" } });
    expect([clutter.known, verdict]).toEqual([false, "survey-first"]);
  });
});

it("keeps the margin of P.530 against fading at its heights: 9.2 dB between antennas at 61 and 37 m, 10 km apart", () => {
  const distanceKm = Array.from({ length: 41 }, (_, i) => i / 4);
  // Mast of 30 m on ground at 31 m, CPE of 4 m on ground at 33 m; 5.6 GHz, 99.99 % of the time.
  const groundAmslM = distanceKm.map((km) => (km === 0 ? 31 : km === 10 ? 33 : 0));
  const model = { clutter: { class: "open", heightM: 0 }, fading: { rule: "p530" }, availability: 0.9999 };
  const { links } = ask(model, { distanceKm, groundAmslM });
  const fadesDb = links.map(({ down }) => -(down.find(({ term }) => term === "fade-margin")?.db ?? 0));
  expect(Math.min(...fadesDb)).toBeCloseTo(9.2, 1);
});

describe("a surveyed profile by method p1812", () => {
  const distanceKm = Array.from({ length: 61 }, (_, i) => i / 10);
  const profile = {
    distanceKm,
    groundAmslM: distanceKm.map((km) => 100 + 20 * Math.sin(km)),
    clutterHeightM: distanceKm.map((km) => (km > 5.85 && km < 6 ? 15 : 0)),
  };
  const ofMethod = (method: string, clutter: object) => ask({ clutter, method }, profile).links[0];
  const lossOf = ({ down }: ReturnType<typeof ofMethod>) =>
    -down
      .filter(({ term }) => ["free-space", "diffraction", "clutter-path", "clutter-cpe", "clutter-mast"].includes(term))
      .reduce((sum, { db }) => sum + db, 0);

  it("loses what the complete Recommendation says of it, and nothing more at its ends", () => {
    const distanceM = Float64Array.from(distanceKm, (km) => km * 1000);
    const bareAmslM = Float64Array.from(profile.groundAmslM);
    const literalDb = computeP1812MedianLossDb({
      profile: {
        distanceM,
        bareAmslM,
        surfaceAmslM: raiseByPathClutter(distanceM, bareAmslM, profile.clutterHeightM, "interior"),
      },
      ...{ txHeightAglM: 30, rxHeightAglM: 4, frequencyGhz: 5.6 },
      effectiveEarthRadiusM: (4 / 3) * MEAN_EARTH_RADIUS_KM * 1000,
    });
    const trees = { class: "trees", heightM: 15 };
    expect(lossOf(ofMethod("p1812", trees))).toBeCloseTo(literalDb, 9);
    expect(lossOf(ofMethod("p1812", trees))).toBeGreaterThan(lossOf(ofMethod("end-clutter", trees)) + 10);
  });
});
