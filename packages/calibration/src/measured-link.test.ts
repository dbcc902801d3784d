import { describe, expect, it } from "vitest";
import { checkLinks, type MeasuredLink } from "./measured-link.ts";

const link: MeasuredLink = {
  id: "a",
  sector: "north",
  class: "clear",
  distanceM: 2000,
  eastM: 100,
  northM: -100,
  predictedDbm: -60,
  measuredDbm: -64,
};

describe("rows that cannot be", () => {
  it.each<[keyof MeasuredLink, unknown, string]>([
    ["measuredDbm", 30.1, "between -150 and 30 dBm"],
    ["measuredDbm", -150.1, "between -150 and 30 dBm"],
    ["measuredDbm", Number.NaN, "between -150 and 30 dBm"],
    ["measuredDbm", "-64", "between -150 and 30 dBm"],
    ["predictedDbm", Number.NEGATIVE_INFINITY, "between -400 and 60 dBm"],
    ["distanceM", 0, "above 0 and at most 100 km"],
    ["distanceM", -5, "above 0 and at most 100 km"],
    ["distanceM", 100_001, "above 0 and at most 100 km"],
    ["distanceM", Number.NaN, "above 0 and at most 100 km"],
    ["eastM", Number.NaN, "must be a number"],
    ["northM", Number.POSITIVE_INFINITY, "must be a number"],
    ["class", "shady", "one of clear, grazing, blocked"],
    ["sector", "", "1 to 64 characters"],
    ["id", "", "must be a text"],
    ["atMs", 2001, "in the future"],
    ["atMs", Number.NaN, "must be a number"],
  ])("%s %s", (field, value, reason) => {
    const { accepted, rejected } = checkLinks([link, { ...link, id: "b", [field]: value }], 2000);
    expect(accepted).toEqual([link]);
    expect(rejected).toMatchObject([{ row: 1, field }]);
    expect(rejected[0].reason).toContain(reason);
  });

  it("an id that stands twice: the first row is kept, even a faulty one takes the id", () => {
    const { accepted, rejected } = checkLinks([link, link, { ...link, id: "b", distanceM: 0 }, { ...link, id: "b" }]);
    expect(accepted).toEqual([link]);
    expect(rejected.map(({ row, field }) => [row, field])).toEqual([
      [1, "id"],
      [2, "distanceM"],
      [3, "id"],
    ]);
  });

  it("limits themselves are taken, and any time where none is now", () => {
    const edges = [
      { ...link, measuredDbm: 30, distanceM: 100_000 },
      { ...link, id: "b", measuredDbm: -150, atMs: 4e12 },
    ];
    expect(checkLinks(edges).rejected).toEqual([]);
  });
});
