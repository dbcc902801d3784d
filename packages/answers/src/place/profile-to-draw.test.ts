import { findGeodesicPoint } from "@fellmark/geodesy";
import { expect, it } from "vitest";
import { groundOf, MAST, quietScene, requestOf } from "../scene/testing/hilly-scene.ts";
import { answerAt } from "./answer.ts";

it("draws no ground where it is not known, though the answer bridges it", async () => {
  // One step of the profile in some hundred: within what may be missing.
  const gap = (_: number, lat: number) => (Math.abs(lat - MAST.lat - 0.03) < 0.00027 ? Number.NaN : 100);
  const scene = quietScene(requestOf(), groundOf(gap));
  const { links, profile } = await answerAt(scene, findGeodesicPoint(MAST, 0, 7900), { withProfile: true });
  const unknown = profile?.groundAmslM.filter((heightM) => heightM === null).length ?? 0;
  expect(unknown).toBeGreaterThan(0);
  expect(unknown / (profile?.distanceM.length ?? 0)).toBeCloseTo(links[0].notKnownShare, 9);
});
