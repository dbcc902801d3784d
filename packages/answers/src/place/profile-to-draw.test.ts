import { findGeodesicPoint } from "@fellmark/geodesy";
import { expect, it } from "vitest";
import { buildQuietScene, buildRowRequest, createSyntheticGround, MAST } from "../scene/testing/hilly-scene.ts";
import { answerPoint } from "./answer.ts";

it("draws no ground where it is not known, though the answer bridges it", async () => {
  // One step of the profile in some hundred: within what may be missing.
  const gap = (_: number, lat: number) => (Math.abs(lat - MAST.lat - 0.03) < 0.00027 ? Number.NaN : 100);
  const scene = buildQuietScene(buildRowRequest(), createSyntheticGround(gap));
  const { links, profile } = await answerPoint(scene, findGeodesicPoint(MAST, 0, 7900), { withProfile: true });
  const unknown = profile?.groundAmslM.filter((heightM) => heightM === null).length ?? 0;
  expect(unknown).toBeGreaterThan(0);
  expect(unknown / (profile?.distanceM.length ?? 0)).toBeCloseTo(links[0].notKnownShare, 9);
});
