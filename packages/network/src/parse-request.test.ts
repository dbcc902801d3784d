import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { checkMapMethod, parseCoverageRequest } from "./parse-request.ts";
import { changeExample, createExampleRequest } from "./testing/example-request.ts";

/** Returns the error that refuses a request; undefined when it is accepted. */
function refusal(body: unknown): InputError | undefined {
  try {
    parseCoverageRequest(body);
    return undefined;
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}

/** The problem at one field of the example when it holds this value. */
function problemAt(pointer: string, value: unknown) {
  return refusal(changeExample({ [pointer]: value }))?.problems.find((problem) => problem.pointer === pointer);
}

describe("the example request", () => {
  it("is taken", () => {
    expect(parseCoverageRequest(createExampleRequest())).toMatchObject({ version: 1, cpe: { maxHeightAglM: 12 } });
  });

  it("keeps what was asked for and fills in the rest", () => {
    const { connectorLossDb: _, rollDeg: _level, ...sector } = parseCoverageRequest(createExampleRequest()).sectors[0];
    expect({ sectors: [sector] }).toEqual({ sectors: createExampleRequest().sectors });
    const bare = {
      ...createExampleRequest(),
      model: undefined,
      terrain: undefined,
      outputs: undefined,
      area: { radiusM: 500 },
    };
    expect(parseCoverageRequest(JSON.parse(JSON.stringify(bare)))).toMatchObject({
      model: {
        earthRadiusFactor: 4 / 3,
        gas: true,
        availability: 0.999,
        confidence: 0.9,
        clutter: { class: "unknown" },
      },
      terrain: { sets: ["default"], fillVoids: false },
      outputs: ["tiers", "rasters", "png"],
    });
  });
});

/** Every number of the request with the least and the greatest value that it may have. */
const RANGES: [string, number, number][] = [
  ["/area/radiusM", 100, 60_000],
  ["/area/cellM", 2, 1000],
  ["/model/earthRadiusFactor", 0.5, 10],
  ["/model/availability", 0.5, 0.99999],
  ["/model/confidence", 0.5, 0.99],
  ["/sites/0/lon", -180, 180],
  ["/sites/0/lat", -85, 85],
  ["/antennas/0/gainDbi", -10, 60],
  ["/antennas/2/gainDbi", -10, 60],
  ["/antennas/2/horizontal/1/0", -180, 360],
  ["/antennas/2/vertical/1/1", -120, 0],
  ["/radios/0/noiseFigureDb", 0, 20],
  ["/radios/0/downShare", 0.05, 0.95],
  ["/radios/0/macEfficiency", 0.1, 1],
  ["/radios/0/implementationDb", 0, 10],
  ["/sectors/0/heightAglM", 0.5, 500],
  ["/sectors/0/downtiltDeg", -30, 30],
  ["/sectors/0/channel/centreMhz", 700, 86_000],
  ["/sectors/0/powerDbm", -20, 40],
  ["/sectors/0/feederLossDb", 0, 30],
  ["/sectors/0/connectorLossDb", 0, 10],
  ["/sectors/0/noiseRiseDb", 0, 60],
  ["/sectors/0/load", 0, 1],
  ["/cpe/heightAglM", 0.5, 500],
  ["/cpe/maxHeightAglM", 0.5, 500],
  ["/cpe/powerDbm", -20, 40],
  ["/cpe/feederLossDb", 0, 30],
  ["/cpe/connectorLossDb", 0, 10],
  ["/cpe/pointingLossDb", 0, 20],
  ["/cpe/noiseRiseDb", 0, 60],
];

const STEP = 1e-6;

describe.each(RANGES)("%s from %d to %d", (pointer, least, greatest) => {
  it("is taken at its limits", () => {
    for (const value of [least, greatest]) expect(problemAt(pointer, value)?.limit).toBeUndefined();
  });

  it("is refused beyond, and the limit is named", () => {
    expect(problemAt(pointer, least - STEP)).toMatchObject({ limit: least });
    expect(problemAt(pointer, greatest + STEP)).toMatchObject({ limit: greatest });
  });

  // F32: what JSON can carry in place of a number, 1e999 and NaN as a careless parser gives them.
  it("takes a number only", () => {
    const others = ["1", "", null, true, [], {}, [1], Number.NaN, JSON.parse("1e999"), JSON.parse("-1e999")];
    for (const value of others) expect(problemAt(pointer, value), String(value)).toBeDefined();
  });
});

describe("limits of another form", () => {
  it.each<[string, unknown, string | number]>([
    ["/sectors/0/azimuthDeg", 360, 360],
    ["/sectors/0/azimuthDeg", -1e-9, 0],
    ["/plans/0/downMbps", 0, 0],
    ["/plans/0/upMbps", 10_001, 10_000],
    ["/area/zoom", 17, 16],
    ["/area/zoom", 5, 6],
    ["/radios/0/streams", 3, 2],
    ["/radios/0/streams", 0, 1],
    ["/radios/0/table", "802.11b", "802.11ac, 802.11ax, lte-64qam, lte-256qam, nr-64qam, nr-256qam, own"],
    ["/sectors/0/chains", 3, "1, 2"],
    ["/sectors/0/channel/widthMhz", 15, "5, 10, 20, 30, 40, 60, 80, 160"],
    ["/sectors/0/polarisationBasis", "circular", "hv, slant45"],
    ["/model/clutter/class", "forest", "unknown, open, water, suburban, urban, dense-urban, trees"],
    ["/quality", "best", "accurate, preview"],
    ["/outputs/0", "pdf", "tiers, rasters, png"],
    ["/version", 2, "1"],
    ["/name", "x".repeat(201), 200],
    ["/sectors/0/timingGroup", "x".repeat(65), 64],
    ["/sectors/0/rule", "x".repeat(65), 64],
    ["/sites", [], 1],
    ["/sectors", [], 1],
    ["/plans", [], 1],
    ["/terrain/sets", [], 1],
    ["/antennas/2/horizontal", [[0, 0]], 2],
    ["/antennas/2/vertical", Array(3601).fill([0, 0]), 3600],
    ["/sites", Array(65).fill({ id: "s1", lon: 0, lat: 0 }), 64],
    ["/antennas", Array(257).fill({ id: "a", kind: "tr38901" }), 256],
    ["/plans", Array(33).fill({ id: "p", downMbps: 1, upMbps: 1 }), 32],
    ["/terrain/sets", Array(17).fill("s"), 16],
  ])("%s does not take %j", (pointer, value, limit) => {
    expect(problemAt(pointer, value)).toMatchObject({ limit });
  });

  it("names the limit of a clutter height, in the form that was meant", () => {
    expect(problemAt("/model/clutter/heightM", 100.1)).toMatchObject({ limit: 100 });
    const raster = refusal(changeExample({ "/model/clutter": { landCover: "cover", heights: { 41: "tall" } } }));
    expect(raster?.problems.map(({ pointer }) => pointer)).toEqual(["/model/clutter/heights/41"]);
  });

  it.each(["", " ", "a b", "a/b", "-a", ".a", "__proto__", "a".repeat(65), "ä", "a\n", 7, null])(
    "an id is not %j",
    (id) => {
      expect(problemAt("/sites/0/id", id)).toBeDefined();
      expect(problemAt("/sectors/0/id", id)).toBeDefined();
    },
  );

  it.each([
    ["/sites/0/lat", -0],
    ["/sites/0/lon", -0],
    ["/sites/0/lat", Number.MIN_VALUE],
    ["/sites/0/lon", 1e-300],
  ])("%s may be %d", (pointer, value) => {
    expect(refusal(changeExample({ [pointer]: value }))).toBeUndefined();
  });
});

describe("unknown fields", () => {
  it.each([
    "/colour",
    "/area/radius",
    "/model/clutter/density",
    "/sites/0/latitude",
    "/antennas/1/gainDbi",
    "/antennas/2/beam",
    "/sectors/0/channel/guardMhz",
    "/sectors/0/pointingLossDb",
    "/cpe/azimuthDeg",
    "/plans/0/price",
    "/__proto__",
    "/sites/0/__proto__",
    "/sectors/0/channel/constructor",
  ])("%s is refused by its name", (pointer) => {
    const { detail = "", ...named } = problemAt(pointer, { polluted: true }) ?? {};
    expect([named, detail]).toEqual([{ pointer }, expect.stringMatching(/^unknown field(?:; did you mean "\w+"\?)?$/)]);
    expect(Object.hasOwn(Object.prototype, "polluted")).toBe(false);
  });

  it("are named as RFC 6901 writes them, all at once", () => {
    const { problems } = refusal({ ...createExampleRequest(), "a/b": 1, "c~d": 2 }) as InputError;
    expect(problems.map(({ pointer }) => pointer).sort()).toEqual(["/a~1b", "/c~0d"]);
  });

  it.each([null, [], "request", 7, true])("a body of %j is no request", (body) => {
    expect(refusal(body)?.problems).toMatchObject([{ pointer: "" }]);
  });
});

describe("what the fields say together", () => {
  it.each(["sites", "antennas", "radios", "sectors", "plans"])("an id stands once among the %s", (list) => {
    const items = createExampleRequest()[list] as { id: string }[];
    const pointer = `/${list}/${items.length}/id`;
    const { problems } = refusal(changeExample({ [`/${list}`]: [...items, items[0]] })) as InputError;
    expect(problems).toContainEqual({ pointer, detail: `"${items[0].id}" stands twice` });
  });

  it.each(["/sectors/0/site", "/sectors/0/antenna", "/sectors/0/radio", "/cpe/antenna", "/cpe/radio"])(
    "%s must be there",
    (pointer) => {
      expect(problemAt(pointer, "nowhere")?.detail).toContain('"nowhere"');
    },
  );

  const level = (angleDeg: number) => [angleDeg, 0];
  it.each<[string, number[], string]>([
    ["horizontal", [0, 90, 80], "/antennas/2/horizontal/2"],
    ["horizontal", [0, 90, 90], "/antennas/2/horizontal/2"],
    ["horizontal", [0, 90, 360], "/antennas/2/horizontal/2"],
    ["horizontal", [-180, 0, 180], "/antennas/2/horizontal/2"],
    ["vertical", [90, 0, -90], "/antennas/2/vertical/1"],
  ])("the %s cut has no angles %j", (cut, angles, pointer) => {
    const { problems } = refusal(changeExample({ [`/antennas/2/${cut}`]: angles.map(level) })) as InputError;
    expect(problems.map((problem) => problem.pointer)).toContain(pointer);
  });

  it("the cell is given by its size or by the zoom", () => {
    expect(problemAt("/area/zoom", 12)).toBeDefined();
  });
});

describe("clutter", () => {
  it.each<[object]>([
    [{ class: "trees", heightM: 12 }],
    [{ class: "statistical", locationShare: 0.9 }],
    [{ landCover: "cover", heights: { "41": 15 } }],
    [{ canopy: "lidar", buildings: "houses" }],
  ])("takes %j", (clutter) => {
    expect(parseCoverageRequest(changeExample({ "/model/clutter": clutter })).model.clutter).toMatchObject(clutter);
  });

  it.each<[string, object]>([
    ["/model/clutter", {}],
    ["/model/clutter", { heights: { "41": 15 }, canopy: "lidar" }],
    ["/model/clutter", { landCover: "cover", heights: { oak: 15 } }],
    ["/model/clutter", { class: "moss" }],
  ])("below %s refuses %j", (pointer, clutter) => {
    const error = refusal(changeExample({ "/model/clutter": clutter })) as InputError;
    expect(error.problems[0]?.pointer).toMatch(new RegExp(`^${pointer}`));
  });
});

it("takes method p1812 for answers and refuses a map by it, at its field", () => {
  const request = parseCoverageRequest(changeExample({ "/model/method": "p1812" }));
  expect(() => checkMapMethod(request)).toThrow(
    expect.objectContaining({
      code: "not_supported",
      problems: [expect.objectContaining({ pointer: "/model/method" })],
    }),
  );
  expect(() => checkMapMethod(parseCoverageRequest(changeExample({})))).not.toThrow();
});
