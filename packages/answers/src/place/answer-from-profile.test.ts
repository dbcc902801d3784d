import { describe, expect, it } from "vitest";
import { requestOf } from "../scene/testing/hilly-scene.ts";
import { answerFromProfile } from "./answer-from-profile.ts";

const PROFILE = { distanceKm: [0, 1, 2, 3, 4], groundAmslM: [100, 100, 100, 100, 100] };
const ask = (model: object, profile = PROFILE) => answerFromProfile(requestOf({ model }), profile, null);
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
