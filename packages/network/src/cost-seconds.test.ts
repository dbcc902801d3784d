import { describe, expect, test } from "vitest";
import { estimateSeconds, MAX_JOB_S, sumSeconds } from "./cost-seconds.ts";
import { coverageRequestSchema } from "./coverage-request.ts";
import { parseCoverageRequest } from "./parse-request.ts";
import { changeExample, createExampleRequest } from "./testing/example-request.ts";

const example = coverageRequestSchema.parse(createExampleRequest());

const secondsOf = (body: unknown, pointer: string) =>
  estimateSeconds(coverageRequestSchema.parse(body)).find((part) => part.pointer === pointer)?.seconds ?? Number.NaN;

function buildEmitters(count: number, stepDeg = 0.01) {
  return Array.from({ length: count }, (_, index) => ({
    id: `e${index}`,
    lon: -76.7488 + stepDeg * (index % 16),
    lat: 40.7763 + stepDeg * Math.floor(index / 16),
    heightAglM: 20,
    eirpDbm: 30,
    channel: { centreMhz: 5600, widthMhz: 20 },
  }));
}

function buildScan(bearings: number) {
  return {
    id: "n1",
    site: example.sites[0].id,
    heightAglM: 30,
    antenna: { gainDbi: 15, widthDeg: 20 },
    resolutionMhz: 20,
    polarisation: "both",
    statistic: "median",
    at: "2026-01-01T00:00:00Z",
    readings: Array.from({ length: bearings }, (_, index) => ({
      azimuthDeg: (360 * index) / bearings,
      centreMhz: 5600,
      levelDbm: -95,
    })),
  };
}

describe("the foreseen time of a job", () => {
  test("is that measured for one sector, 15 km around at zoom 12 in latitude 44: 1 s", () => {
    const seconds = sumSeconds(estimateSeconds(parseCoverageRequest(oneSector())));
    expect(seconds).toBeGreaterThan(0.7);
    expect(seconds).toBeLessThan(1.5);
  });

  test("counts every height of a mast and every emitter as a sweep", () => {
    const [sector] = example.sectors;
    const heights = [20, 25, 30].map((heightAglM, index) => ({ ...sector, id: `s${index}`, heightAglM }));
    const alike = heights.map((each) => ({ ...each, heightAglM: 30 }));
    const sweepsOf = (sectors: unknown) => secondsOf(changeExample({ "/sectors": sectors }), "/sectors");
    expect(sweepsOf(heights)).toBeCloseTo(3 * sweepsOf(alike));
    const emitters = (count: number) => secondsOf(changeExample({ "/emitters": buildEmitters(count, 0) }), "/emitters");
    expect(emitters(8)).toBeCloseTo(8 * emitters(1));
  });

  test("counts the cube of a scan's bearings: 720 of them took 2.1 s a sector", () => {
    const scanned = (bearings: number) => secondsOf(changeExample({ "/scans": [buildScan(bearings)] }), "/scans");
    expect(scanned(720) / example.sectors.length).toBeCloseTo(2.6, 1);
    expect(scanned(1440)).toBeCloseTo(8 * scanned(720));
  });

  test.each<[string, Record<string, unknown>, string, RegExp]>([
    [
      "emitters over fine cells",
      { "/emitters": buildEmitters(256), "/area": { radiusM: 2000, zoom: 16 } },
      "/emitters",
      /256 emitters; leave some out/,
    ],
    ["a scan of 20,000 bearings", { "/scans": [buildScan(20_000)] }, "/scans", /directions of 1 scans/],
  ])("refuses %s at the part that takes longest", (_, changes, pointer, reason) => {
    expect(() => parseCoverageRequest(changeExample(changes))).toThrow(
      expect.objectContaining({
        problems: [{ pointer, limit: MAX_JOB_S, detail: expect.stringMatching(reason) }],
      }),
    );
  });
});

function oneSector() {
  const [site] = example.sites;
  return changeExample({
    "/sites": [{ ...site, lat: 44.3 }],
    "/sectors": [example.sectors[0]],
    "/area": { radiusM: 15_000, zoom: 12 },
  });
}
