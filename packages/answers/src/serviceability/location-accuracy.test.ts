import { findGeodesic } from "@fellmark/geodesy";
import { describe, expect, test } from "vitest";
import type { Verdict } from "../place/answer.ts";
import { judgeLocationAccuracy, listLocationPoints } from "./location-accuracy.ts";

const PIN = { lon: -30.5, lat: 12.5 };

describe("the points of a pin", () => {
  // Own choice: nine points inside 10, 50, 150 or 500 m.
  test.each([10, 50, 150, 500])("are the pin and eight at %i m, clockwise from north", (radiusM) => {
    const [centre, ...around] = listLocationPoints(PIN, radiusM);
    expect(centre).toEqual(PIN);
    const lines = around.map((point) => findGeodesic(PIN, point));
    for (const { distanceM } of lines) expect(distanceM).toBeCloseTo(radiusM, 6);
    expect(lines.map(({ azimuthDeg }) => Math.round(azimuthDeg) % 360)).toEqual([0, 45, 90, 135, 180, 225, 270, 315]);
  });

  test("are the pin alone where it is exact", () => {
    expect(listLocationPoints(PIN, 0)).toEqual([PIN]);
  });
});

describe("a pin", () => {
  const point = (verdict: Verdict, probability: number | null, lon = 0) => ({
    at: { lon, lat: 0 },
    verdict,
    probability,
  });

  test("agrees where all verdicts are one", () => {
    const report = judgeLocationAccuracy([point("serviceable", 0.95), point("serviceable", 0.99, 1)], 10);
    expect(report).toMatchObject({ agrees: true, verdicts: { serviceable: 2 }, best: { at: [1, 0] } });
  });

  test("names the best point where they differ: by verdict, then by probability", () => {
    const points = [
      point("not-serviceable", 0.2),
      point("serviceable-at-height", 0.8, 1),
      point("serviceable", 0.91, 2),
      point("serviceable", 0.96, 3),
      point("not-known", null, 4),
    ];
    const { agrees, best, verdicts } = judgeLocationAccuracy(points, 150);
    expect(agrees).toBe(false);
    expect(best).toEqual({ at: [3, 0], verdict: "serviceable", probability: 0.96 });
    expect(verdicts).toEqual({ "not-serviceable": 1, "serviceable-at-height": 1, serviceable: 2, "not-known": 1 });
  });

  test("stays where it is when no other point is better", () => {
    expect(judgeLocationAccuracy([point("serviceable", 0.95), point("serviceable", 0.95, 1)], 10).best.at).toEqual([
      0, 0,
    ]);
  });
});
