import { readFileSync } from "node:fs";
import { join } from "node:path";
import { needsShared, sharedDir } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { accuracyReport } from "./src/accuracy-report.ts";
import { errorStatistics } from "./src/error-statistics.ts";
import { parseMeasuredLinks } from "./src/measured-links.ts";

describe.skipIf(!needsShared())(
  "30 measured rural links at 915 MHz (../shared/measured, nothing tuned on them)",
  () => {
    const path = join(sharedDir, "measured", "links-915mhz.json");
    const report = accuracyReport(parseMeasuredLinks(JSON.parse(readFileSync(path, "utf8"))));
    const rural = (model: string) => {
      const row = report.models.find((entry) => entry.model === model && entry.group === "rural");
      if (!row) throw new Error(`no row for ${model}`);
      return row;
    };

    it("terrain alone is 25 dB optimistic, as computed independently", () => {
      expect(rural("delta-bullington").n).toBe(30);
      expect(Math.abs(rural("delta-bullington").meanDb - -25.3)).toBeLessThan(0.3);
      expect(Math.abs(rural("delta-bullington").rmseDb - 26.0)).toBeLessThan(0.3);
    });

    it("with clutter at the ends it is right within 7.5 dB", () => {
      expect(rural("terrain-clutter").rmseDb).toBeLessThanOrEqual(7.5);
      expect(Math.abs(rural("terrain-clutter").meanDb)).toBeLessThanOrEqual(3);
      expect(rural("terrain-clutter").stdDb).toBeLessThanOrEqual(7.2);
    });

    it("predicts by the complete P.1812 every link that is long enough, and no less than terrain alone", () => {
      expect(rural("p1812").n).toBe(28);
      for (const { predictedDb } of report.links) {
        // P.1812-6 eq (8) rounds the constant of free space down by 0.048 dB.
        if ("p1812" in predictedDb) expect(predictedDb.p1812).toBeGreaterThan(predictedDb["delta-bullington"] - 0.05);
      }
    });

    it("says of every link and model either a figure or why there is none", () => {
      for (const link of report.links) {
        const skipped = report.skipped.filter((entry) => entry.id === link.id);
        expect(Object.keys(link.predictedDb).length + skipped.length).toBe(5);
      }
    });
  },
);

describe("the format of measured links", () => {
  const link = {
    id: "test-1",
    frequencyGhz: 5.6,
    polarisation: "vertical",
    txHeightAglM: 30,
    rxHeightAglM: 6,
    measuredLossDb: 120,
    profile: { distanceKm: [0, 1, 2], groundAmslM: [10, 12, 10] },
  };

  it("names faults by pointer", () => {
    const fault = (change: object) => () => parseMeasuredLinks({ links: [{ ...link, ...change }] });
    expect(fault({ deltaN: 200 })).toThrow("/links/0/deltaN");
    expect(fault({ profile: { ...link.profile, distanceKm: [0, 1, 1] } })).toThrow("/links/0/profile");
    expect(fault({ clutterType: { tx: "trees", rx: "moss" } })).toThrow("/links/0/clutterType");
    expect(() => parseMeasuredLinks({ links: [] })).toThrow("holds no link");
    expect(() => parseMeasuredLinks([])).toThrow("/links");
  });

  it("takes a link without clutter or with a gap, and says what it cannot predict", () => {
    const gap = { ...link, id: "test-2", profile: { ...link.profile, groundAmslM: [10, null, 10] } };
    const report = accuracyReport(parseMeasuredLinks({ links: [link, gap] }));
    expect(Object.keys(report.links[0].predictedDb)).toEqual(["free-space", "delta-bullington"]);
    expect(Object.keys(report.links[1].predictedDb)).toEqual(["free-space"]);
  });
});

it("gives the statistics of errors worked by hand", () => {
  const { n, meanDb, stdDb, rmseDb, p90AbsDb } = errorStatistics([-3, 1, 2, 4]);
  expect([n, meanDb]).toEqual([4, 1]);
  expect(rmseDb).toBeCloseTo(Math.sqrt(30 / 4), 12);
  expect(stdDb).toBeCloseTo(Math.sqrt(30 / 4 - 1), 12);
  expect(p90AbsDb).toBeCloseTo(3 + 0.7, 12);
});
