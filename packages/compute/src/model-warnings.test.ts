import type { Coverage } from "@fellmark/coverage";
import { type CoverageRequest, parseCoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue, TerrainKind } from "@fellmark/terrain";
import { expect, it } from "vitest";
import { listModelWarnings } from "./model-warnings.ts";
import { buildSmallRequest } from "./testing/small-world.ts";

function codesOf(...of: Parameters<typeof warningsOf>): string[] {
  return warningsOf(...of).map(({ code }) => code);
}

function warningsOf(model: object, kind: TerrainKind = "bare", found: Partial<Coverage["counts"]> = {}) {
  const request: CoverageRequest = parseCoverageRequest({ ...buildSmallRequest(), model });
  const catalogue = { sets: [{ name: "default", path: ".", kind }] } as TerrainCatalogue;
  const links = [{ frequencyGhz: 5.6, down: { after: [{ term: "clutter-cpe", db: -5 }] } }];
  const coverage = {
    counts: { clutterNotKnown: null, ...found },
    unknownClutterCodes: [],
    rareClutterHeights: [],
    links,
  } as unknown as Coverage;
  return listModelWarnings(request, catalogue, coverage);
}

it("says of every part by itself whether its law is extrapolated", () => {
  const extrapolated = (model: object) =>
    warningsOf(model).flatMap(({ code, detail }) => (code === "clutter_extrapolated" ? detail : []));
  const [wood, ...others] = extrapolated({ clutter: { class: "trees", heightM: 15 } });
  expect(others).toEqual([]);
  expect(wood).toMatch(/around the CPE is extrapolated.*section 3.2, is stated for 0.5 to 67 GHz, and for houses/);
  expect(extrapolated({ clutter: { class: "suburban", heightM: 8 } })).toEqual([
    expect.stringMatching(/section 3.1, is stated for 0.03 to 3 GHz/),
  ]);
  // Houses 5 m and more above the CPE have the statistics of section 3.2, which are stated here; P.1812 to 6 GHz.
  expect(extrapolated({ clutter: { class: "suburban", heightM: 15 } })).toEqual([]);
  expect(extrapolated({ clutter: { canopy: "wood" } })).toEqual([]);
  expect(extrapolated({ clutter: { canopy: "wood" }, vegetationLaw: "p833" })).toEqual([
    expect.stringMatching(/on the way is extrapolated.*stated for 0.106 to 2.118 GHz/),
  ]);
});

it("says that nothing is known, or that a part is not", () => {
  expect(codesOf({})).toEqual(["clutter_unknown"]);
  expect(codesOf({ clutter: { landCover: "cover" } }, "bare", { clutterNotKnown: 7 })).toContain("clutter_not_covered");
  expect(codesOf({ clutter: { landCover: "cover" } }, "bare", { clutterNotKnown: 0 })).not.toContain(
    "clutter_not_covered",
  );
});

it("warns of canopy on a surface, and of heights of an unknown kind", () => {
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

it("names the codes of land cover that the legend does not have, and a mount on houses that are not named", () => {
  const request = (cpe: object, model: object) => {
    const small = buildSmallRequest();
    return parseCoverageRequest({ ...small, cpe: { ...(small.cpe as object), ...cpe }, model });
  };
  const told = (cpe: object, model: object, unknownClutterCodes: { code: number; cells: number }[] = []) => {
    const rareClutterHeights = [{ kind: "trees", cells: 3, highestM: 80.4 }];
    const coverage = {
      counts: { clutterNotKnown: 0 },
      unknownClutterCodes,
      rareClutterHeights,
      links: [],
    } as unknown as Coverage;
    const catalogue = { sets: [{ name: "default", path: ".", kind: "bare" }] } as TerrainCatalogue;
    return listModelWarnings(request(cpe, model), catalogue, coverage).map(({ code, detail }) => `${code}: ${detail}`);
  };
  const landCover = { clutter: { landCover: "cover" } };
  expect(told({}, landCover, [{ code: 99, cells: 7 }])[0]).toMatch(
    /^clutter_code_unknown: .*no class 99, which 7 cells/,
  );
  expect(told({}, landCover)[0]).toMatch(/^clutter_height_rare: trees of up to 80 m stand on 3 cells/);
  const mounts = (mount: string | undefined, model: object) =>
    told(mount ? { mount } : {}, model).filter((text) => text.startsWith("mount_without_buildings"));
  expect(mounts("roof", landCover)).toHaveLength(1);
  expect(mounts("wall", { clutter: { class: "suburban" } })[0]).toContain(
    "a CPE on a wall is computed at its height above ground",
  );
  expect([mounts(undefined, landCover), mounts("ground", landCover)]).toEqual([[], []]);
  expect(mounts("roof", { clutter: { buildings: "houses" } })).toEqual([]);
});
