import type { Coverage } from "@fellmark/coverage";
import { type CoverageRequest, parseCoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue, TerrainKind } from "@fellmark/terrain";
import { expect, it } from "vitest";
import { listModelWarnings } from "./model-warnings.ts";
import { buildSmallRequest } from "./testing/small-world.ts";

function codesOf(model: object, kind: TerrainKind = "bare", found: Partial<Coverage["counts"]> = {}): string[] {
  const request: CoverageRequest = parseCoverageRequest({ ...buildSmallRequest(), model });
  const catalogue = { sets: [{ name: "default", path: ".", kind }] } as TerrainCatalogue;
  const links = [{ frequencyGhz: 5.6, down: { after: [{ term: "clutter-cpe", db: -5 }] } }];
  const coverage = {
    counts: { clutterNotKnown: null, ...found },
    unknownClutterCodes: [],
    links,
  } as unknown as Coverage;
  return listModelWarnings(request, catalogue, coverage).map(({ code }) => code);
}

it("says that nothing is known, or that a part is not", () => {
  expect(codesOf({})).toEqual(["clutter_unknown", "clutter_extrapolated"]);
  expect(codesOf({ clutter: { landCover: "cover" } }, "bare", { clutterNotKnown: 7 })).toContain("clutter_not_covered");
  expect(codesOf({ clutter: { landCover: "cover" } }, "bare", { clutterNotKnown: 0 })).not.toContain(
    "clutter_not_covered",
  );
});

it("warns of canopy on a surface, and where nobody said what the heights stand on", () => {
  const clutter = { canopy: "wood" };
  expect(codesOf({ clutter }, "surface")).toContain("canopy_on_surface");
  expect(codesOf({ clutter }, "unknown")).toContain("canopy_perhaps_twice");
  expect(codesOf({ clutter }, "bare").filter((code) => code.startsWith("canopy"))).toEqual([]);
});

it("says which calibration counts, or that it did not help", () => {
  const held = { beforeRmseDb: 8, afterRmseDb: 6, gain: 1, gainError: 0.2 };
  const calibration = (applied: boolean) => ({
    ...{ version: "c0123456789abcdef", referenceKm: 3, classes: {}, sectors: {}, influenceDb: 2 },
    validation: { applied, reason: "test", leaveOneOut: held, blocks: null },
  });
  expect(codesOf({ calibration: calibration(true) })).toContain("calibration_applied");
  expect(codesOf({ calibration: calibration(false) })).toContain("calibration_not_applied");
});
