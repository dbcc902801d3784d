import type { FieldProblem } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { listThrownProblems } from "./field-problems.ts";
import { parseNetwork } from "./network-document.ts";
import { parseCoverageRequest } from "./parse-request.ts";
import { createExampleNetwork } from "./testing/example-network.ts";
import { changeExample } from "./testing/example-request.ts";

/** A sector on a channel with this antenna, the example's fourth. */
function problemsOf(antenna: object, centreMhz = 5600, change: Record<string, unknown> = {}): readonly FieldProblem[] {
  const request = changeExample({
    "/antennas/3": { id: "a4", ...antenna },
    "/sectors/0/antenna": "a4",
    "/sectors/0/channel": { centreMhz, widthMhz: 20 },
    ...change,
  });
  return listThrownProblems(() => parseCoverageRequest(request));
}

const average = { kind: "f1336", gainDbi: 17, azimuthWidthDeg: 90, form: "average" };
const shroud = (base: object) => ({ kind: "shrouded", fromDeg: 60, reductionDb: 10, base });

describe("an antenna on the air", () => {
  it("is taken where it suits the channel", () => {
    expect(problemsOf(average)).toEqual([]);
    expect(problemsOf({ kind: "f1245", gainDbi: 34, diameterM: 1.2 })).toEqual([]);
  });

  it.each<[object, number, string, string | number]>([
    [average, 6100, "", "0.4 to 6 GHz"],
    [{ ...average, gainDbi: 9 }, 5600, "/elevationWidthDeg", 22.5],
    [{ ...average, form: "peak" }, 5600, "", "actual or average levels"],
    [{ kind: "f699", gainDbi: 34, diameterM: 1.2 }, 5600, "", "actual or average levels"],
    [shroud({ kind: "f699", gainDbi: 34, diameterM: 1.2 }), 5600, "/base", "actual or average levels"],
    [{ kind: "dish", diameterM: 0.1, focalRatio: 0.4, edgeTaperDb: 11 }, 5600, "/diameterM", "2 to 200 wavelengths"],
    [
      { kind: "horn", form: "conical", diameterM: 0.03, slantLengthM: 0.2 },
      5600,
      "/diameterM",
      "0.6 to 64 wavelengths",
    ],
    [
      { kind: "pyramidal-horn", widthM: 3, heightM: 3, slantLengthHM: 9, slantLengthEM: 9 },
      5600,
      "",
      "1000000 directions",
    ],
    [
      { kind: "patch-array", columns: 64, rows: 64, columnSpacingM: 0.1, rowSpacingM: 0.1, designFrequencyGhz: 5.6 },
      5600,
      "",
      "1000000 directions",
    ],
  ])("is refused with its limit: %j at %d MHz", (antenna, centreMhz, below, limit) => {
    expect(problemsOf(antenna, centreMhz)).toMatchObject([{ pointer: `/antennas/3${below}`, limit }]);
  });

  it("is judged at the channels of all who use it: CPEs, emitters, scans", () => {
    const high = { centreMhz: 6100, widthMhz: 20 };
    const sector = { "/sectors/0/antenna": "a2" };
    expect(problemsOf(average, 6100, sector)).toEqual([]);
    expect(problemsOf(average, 6100, { ...sector, "/cpe/antenna": "a4" })).toHaveLength(1);
    const emitter = { id: "e1", lon: -76.7, lat: 40.8, heightAglM: 20, eirpDbm: 36, channel: high, antenna: "a4" };
    expect(problemsOf(average, 5600, { ...sector, "/emitters": [emitter] })).toMatchObject([
      { pointer: "/antennas/3" },
    ]);
  });

  it("is judged in networks, too, where an unused one may be anything", () => {
    const network = createExampleNetwork();
    const envelope = { id: "a4", ...average, form: "peak" };
    const antennas = [...(network.antennas as object[]), envelope];
    expect(listThrownProblems(() => parseNetwork({ ...network, antennas }))).toEqual([]);
    const [first, ...others] = network.sectors as object[];
    const sectors = [{ ...first, antenna: "a4" }, ...others];
    expect(listThrownProblems(() => parseNetwork({ ...network, antennas, sectors }))).toMatchObject([
      { pointer: "/antennas/3" },
    ]);
  });
});
