import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { parseCoverageRequest } from "./parse-request.ts";
import { changeExample, createExampleRequest } from "./testing/example-request.ts";

const emitter = {
  id: "e1",
  lon: -76.7,
  lat: 40.7,
  heightAglM: 20,
  eirpDbm: 36,
  channel: { centreMhz: 5601, widthMhz: 5 },
};
const scan = {
  id: "sc1",
  site: "s1",
  heightAglM: 28,
  antenna: { gainDbi: 14, widthDeg: 30 },
  resolutionMhz: 1,
  polarisation: "both",
  statistic: "median",
  at: "2026-05-04T09:30:00Z",
  readings: [{ azimuthDeg: 10, centreMhz: 5600, levelDbm: -92 }],
};
const isolation = { sectors: ["s1-n", "s1-n"], isolationDb: 60 };
const subscriber = { id: "u1", sector: "s1-n", lon: -76.75, lat: 40.8, plan: "p25" };
const array = {
  id: "a4",
  kind: "patch-array",
  columns: 4,
  rows: 8,
  columnSpacingM: 0.026,
  rowSpacingM: 0.03,
  designFrequencyGhz: 5.5,
};
const horn = { id: "a4", kind: "horn", form: "corrugated", diameterM: 0.2, slantLengthM: 0.4 };
const dish = { id: "a4", kind: "dish", diameterM: 0.6, focalRatio: 0.35, edgeTaperDb: 11 };
const reference = { id: "a4", kind: "f1336", gainDbi: 16, azimuthWidthDeg: 90, form: "average" };
const { id: _id, ...plainHorn } = horn;

function problemsOf(values: Record<string, unknown>) {
  try {
    parseCoverageRequest(changeExample(values));
    return [];
  } catch (error) {
    if (error instanceof InputError) return error.problems;
    throw error;
  }
}

function withAntenna(antenna: unknown) {
  return { "/antennas": [...(createExampleRequest().antennas as unknown[]), antenna] };
}

describe("what a request says of its surroundings", () => {
  it("is taken whole, with its defaults", () => {
    const values = {
      "/emitters": [emitter],
      "/scans": [scan],
      "/isolations": [isolation],
      "/subscribers": [subscriber],
    };
    expect(parseCoverageRequest(changeExample(values))).toMatchObject({
      emitters: [{ activity: 1 }],
      scans: [{ elevationDeg: 0 }],
      model: { obstacleCapDb: { clear: 35, grazing: 20, blocked: 15 }, coSiteIsolationDb: 50 },
      radios: [{ frameMs: 5, guardUs: 100 }],
      sectors: [{ rollDeg: 0 }],
    });
    expect(problemsOf({ "/model/obstacleCapDb": null })).toEqual([]);
  });

  it.each<[string, unknown, string, string | number]>([
    ["/emitters", [{ ...emitter, eirpDbm: 91 }], "/emitters/0/eirpDbm", 90],
    ["/emitters", [{ ...emitter, activity: 1.1 }], "/emitters/0/activity", 1],
    ["/emitters", [{ ...emitter, channel: { centreMhz: 5600, widthMhz: 0 } }], "/emitters/0/channel/widthMhz", 1],
    ["/emitters", Array(257).fill(emitter), "/emitters", 256],
    ["/scans", [{ ...scan, readings: [] }], "/scans/0/readings", 1],
    ["/scans", [{ ...scan, statistic: "mean" }], "/scans/0/statistic", "median, p90, peak-hold"],
    ["/scans", [{ ...scan, resolutionMhz: 0 }], "/scans/0/resolutionMhz", 0.01],
    ["/scans", [{ ...scan, antenna: { gainDbi: 14, widthDeg: 0 } }], "/scans/0/antenna/widthDeg", 1],
    [
      "/scans",
      [{ ...scan, readings: [{ azimuthDeg: 360, centreMhz: 5600, levelDbm: 0 }] }],
      "/scans/0/readings/0/azimuthDeg",
      360,
    ],
    ["/isolations", [{ ...isolation, isolationDb: 151 }], "/isolations/0/isolationDb", 150],
    ["/radios/0/frameMs", 0.4, "/radios/0/frameMs", 0.5],
    ["/radios/0/guardUs", 5001, "/radios/0/guardUs", 5000],
    ["/radios/0/acirDb", { leakageDb: -1, selectivityDb: 30 }, "/radios/0/acirDb/leakageDb", 0],
    ["/radios/0/powerByRate", [{ index: 64, powerDbm: 20 }], "/radios/0/powerByRate/0/index", 63],
    ["/sectors/0/rollDeg", 181, "/sectors/0/rollDeg", 180],
    ["/sectors/0/feeder", { cable: "foam-10mm", lengthM: 201, connectors: 2 }, "/sectors/0/feeder/lengthM", 200],
    [
      "/sectors/0/feeder",
      { cable: "string", lengthM: 2, connectors: 2 },
      "/sectors/0/feeder/cable",
      "foam-5mm, foam-6mm, foam-10mm, foam-15mm",
    ],
    ["/model/coSiteIsolationDb", 151, "/model/coSiteIsolationDb", 150],
    ["/model/obstacleCapDb", { clear: -1, grazing: 0, blocked: 0 }, "/model/obstacleCapDb/clear", 0],
  ])("%s: the limit of a field is named (%#)", (pointer, value, named, limit) => {
    expect(problemsOf({ [pointer]: value })).toContainEqual(expect.objectContaining({ pointer: named, limit }));
  });

  it.each<[string, unknown, string]>([
    ["/emitters", [emitter, emitter], "/emitters/1/id"],
    ["/emitters", [{ ...emitter, antenna: "nowhere" }], "/emitters/0/antenna"],
    ["/scans", [{ ...scan, site: "nowhere" }], "/scans/0/site"],
    ["/scans", [{ ...scan, antenna: "nowhere" }], "/scans/0/antenna"],
    ["/isolations", [{ ...isolation, sectors: ["s1-n", "nowhere"] }], "/isolations/0/sectors/1"],
    ["/subscribers", [{ ...subscriber, sector: "nowhere" }], "/subscribers/0/sector"],
    ["/subscribers", [{ ...subscriber, plan: "nowhere" }], "/subscribers/0/plan"],
    ["/scans", [{ ...scan, at: "yesterday" }], "/scans/0/at"],
    // The example states a feeder's loss of 0.5 dB.
    ["/sectors/0/feeder", { cable: "foam-10mm", lengthM: 2, connectors: 2 }, "/sectors/0/feeder"],
  ])("%s: what does not hold together is named (%#)", (pointer, value, named) => {
    expect(problemsOf({ [pointer]: value }).map((problem) => problem.pointer)).toEqual([named]);
  });

  it("a feeder may be given in place of its loss", () => {
    const feeder = { cable: "foam-10mm", lengthM: 2, connectors: 2 };
    expect(problemsOf({ "/sectors/0/feeder": feeder, "/sectors/0/feederLossDb": 0 })).toEqual([]);
  });
});

describe("a timing group", () => {
  const { radios, sectors } = createExampleRequest() as { radios: object[]; sectors: object[] };
  const two = (radio: object, timingGroup = "g1") => ({
    "/radios": [...radios, { ...radios[0], ...radio, id: "r2" }],
    "/sectors": [...sectors, { ...sectors[0], id: "s1-s", radio: "r2", timingGroup }],
  });

  it.each([{ frameMs: 2.5 }, { downShare: 0.5 }, { guardUs: 50 }])("has one frame: %j differs", (radio) => {
    const field = Object.keys(radio)[0];
    const [problem] = problemsOf(two(radio));
    expect(problem?.pointer).toBe("/sectors/1/timingGroup");
    for (const word of ['"s1-n"', '"s1-s"', field]) expect(problem?.detail).toContain(word);
  });

  it("may differ from another group", () => {
    expect(problemsOf(two({ frameMs: 2.5 }, "g2"))).toEqual([]);
  });
});

describe("an antenna by its build", () => {
  const shroud = (base: unknown) => ({ kind: "shrouded", base, fromDeg: 60, reductionDb: 10 });

  it.each([
    [array],
    [{ ...array, columnTaper: { kind: "chebyshev", sideLobeDb: 25 }, electricalDowntiltDeg: 4 }],
    [horn],
    [{ id: "a4", kind: "pyramidal-horn", widthM: 0.2, heightM: 0.15, slantLengthHM: 0.3, slantLengthEM: 0.3 }],
    [dish],
    [reference],
    [{ id: "a4", kind: "f699", gainDbi: 34, diameterM: 1.2 }],
    [{ id: "a4", kind: "csv", text: "cut,angleDeg,gainDbi,polarisation", gainDbi: 12 }],
    [{ id: "a4", ...shroud(plainHorn) }],
    [{ id: "a4", kind: "without-lobes", power: "renormalised", base: shroud(plainHorn) }],
  ])("%j is taken", (antenna) => {
    expect(problemsOf(withAntenna(antenna))).toEqual([]);
  });

  it.each<[unknown, string, string | number | undefined]>([
    [{ ...array, columns: 65 }, "/columns", 64],
    [{ ...array, rowSpacingM: 0 }, "/rowSpacingM", 0.005],
    [{ ...array, columnTaper: { kind: "chebyshev", sideLobeDb: 9 } }, "/columnTaper/sideLobeDb", 10],
    [{ ...array, seed: -1 }, "/seed", 0],
    [{ ...horn, form: "square" }, "/form", "conical, dual-mode, corrugated"],
    [{ ...dish, focalRatio: 0.1 }, "/focalRatio", 0.2],
    [{ ...reference, elevationWidthDeg: 91 }, "/elevationWidthDeg", 90],
    [{ ...reference, peakDbi: 3 }, "/peakDbi", undefined],
    [{ id: "a4", ...shroud({ ...plainHorn, diameterM: 11 }) }, "/base/diameterM", 10],
    [{ id: "a4", ...shroud(shroud(shroud(plainHorn))) }, "/base/base/kind", undefined],
    [
      {
        id: "a4",
        ...shroud({
          kind: "cuts",
          gainDbi: 9,
          horizontal: [
            [0, 0],
            [0, 0],
          ],
          vertical: [
            [0, 0],
            [9, 0],
          ],
        }),
      },
      "/base/horizontal/1",
      undefined,
    ],
  ])("%j is refused at %s", (antenna, below, limit) => {
    const problem = problemsOf(withAntenna(antenna)).find(({ pointer }) => pointer === `/antennas/3${below}`);
    expect(problem).toBeDefined();
    if (limit !== undefined) expect(problem).toMatchObject({ limit });
  });
});
