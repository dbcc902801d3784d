import { describe, expect, it } from "vitest";
import { requestOf } from "../scene/testing/hilly-scene.ts";
import { answerFromProfile } from "./answer-from-profile.ts";

const PROFILE = { distanceKm: [0, 1, 2, 3, 4], groundAmslM: [100, 100, 100, 100, 100] };
const ask = (model: object, profile = PROFILE) => answerFromProfile(requestOf({ model }), profile, null);
const diffractionDb = ({ links: [best] }: ReturnType<typeof ask>) =>
  best.down.find(({ term }) => term === "diffraction")?.db ?? Number.NaN;

describe("a surveyed profile", () => {
  const trees = { ...PROFILE, clutterHeightM: [0, 20, 20, 20, 0] };

  it("has its clutter stand on the way by method p1812 alone", () => {
    const clutter = { class: "open", heightM: 0 };
    expect(diffractionDb(ask({ clutter, method: "path-clutter" }, trees))).toBeLessThan(-10);
    expect(diffractionDb(ask({ clutter, method: "path-clutter" }))).toBe(diffractionDb(ask({ clutter })));
    expect(diffractionDb(ask({ clutter }, trees))).toBe(diffractionDb(ask({ clutter })));
    expect(diffractionDb(ask({ clutter: { class: "trees" }, method: "path-clutter" }))).toBeLessThan(-5);
  });

  it("knows nothing of clutter that only rasters would tell", () => {
    const { clutter, verdict } = ask({ clutter: { canopy: "woods" } });
    expect([clutter.known, verdict]).toEqual([false, "survey-first"]);
  });
});
