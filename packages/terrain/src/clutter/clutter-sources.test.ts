import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { useCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec } from "../testing/tiff-maker.ts";
import { type ClutterSources, checkClutterSources } from "./clutter-sources.ts";

const SPEC: RasterSpec = { epsg: 4326, x: 10, y: 46, step: 0.001, widthPx: 16, heightPx: 16, value: () => 0 };
const FILES = {
  "terrain.json": JSON.stringify({
    version: 1,
    sets: [
      { name: "ground", path: "ground", kind: "bare" },
      { name: "trees", path: "trees", kind: "canopy" },
      { name: "houses", path: "houses", kind: "buildings" },
      { name: "cover", path: "cover", kind: "land-cover", legend: "worldcover" },
      { name: "codes", path: "codes", kind: "land-cover" },
    ],
  }),
  ...Object.fromEntries(
    ["ground", "trees", "houses", "cover", "codes"].map((name) => [`${name}/a.tif`, makeGeoTiff(SPEC)]),
  ),
};

function problemsOf(sources: ClutterSources): Promise<{ code: string; pointers: string[]; details: string }> {
  return useCatalogue(FILES, (catalogue) => {
    try {
      checkClutterSources(catalogue, sources);
    } catch (error) {
      const { code, problems, message } = error as InputError;
      expect(error).toBeInstanceOf(InputError);
      return { code, pointers: problems.map(({ pointer }) => pointer), details: message };
    }
    return { code: "none", pointers: [], details: "" };
  });
}

describe("clutter sources", () => {
  it("may be any of the three", async () => {
    for (const sources of [
      { canopy: "trees" },
      { buildings: "houses", canopy: undefined },
      { landCover: "cover", heights: { "10": 22, "20": 0 }, canopy: "trees", buildings: "houses" },
    ]) {
      expect(await problemsOf(sources)).toMatchObject({ code: "none" });
    }
  });

  it.each<[string, ClutterSources, string, string[], RegExp]>([
    [
      "a set that is not there",
      { canopy: "shrubs" },
      "terrain_set_unknown",
      ["/model/clutter/canopy"],
      /no terrain set/,
    ],
    [
      "ground for land cover",
      { landCover: "ground" },
      "terrain_set_kind",
      ["/model/clutter/landCover"],
      /ground holds elevation, not land-cover/,
    ],
    [
      "houses for trees",
      { canopy: "houses" },
      "terrain_set_kind",
      ["/model/clutter/canopy"],
      /houses holds buildings, not canopy/,
    ],
    ["trees for houses", { buildings: "trees" }, "terrain_set_kind", ["/model/clutter/buildings"], /holds canopy/],
    ["codes without a legend", { landCover: "codes" }, "invalid_input", ["/model/clutter/landCover"], /no legend/],
    [
      "heights of codes that the legend lacks",
      { landCover: "cover", heights: { "10": 20, "42": 15, "a/b": 1 } },
      "invalid_input",
      ["/model/clutter/heights/42", "/model/clutter/heights/a~1b"],
      /legend worldcover has no code 42/,
    ],
    [
      "a code of every object",
      { landCover: "cover", heights: { constructor: 1 } },
      "invalid_input",
      ["/model/clutter/heights/constructor"],
      /no code constructor/,
    ],
    [
      "heights of nothing",
      { canopy: "trees", heights: { "10": 2 } },
      "invalid_input",
      ["/model/clutter/heights"],
      /landCover is missing/,
    ],
  ])("refuse %s", async (_what, sources, code, pointers, details) => {
    const problems = await problemsOf(sources);
    expect(problems).toMatchObject({ code, pointers });
    expect(problems.details).toMatch(details);
  });
});
