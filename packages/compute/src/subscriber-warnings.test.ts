import { type CoverageRequest, findWindow } from "@fellmark/network";
import { describe, expect, it } from "vitest";
import { listSubscriberWarnings } from "./subscriber-warnings.ts";
import { buildSmallRequest } from "./testing/small-world.ts";

/** The masts stand at 30.5 degrees west, 12.5 north; the area reaches 1.5 km, a hundredth of a degree is 1.1 km. */
function warningsFor(places: { sector: string; lon: number; lat: number }[]) {
  const subscribers = places.map((place, index) => ({ ...place, id: `c${index}`, plan: "p25" }));
  const request: CoverageRequest = { ...buildSmallRequest(), subscribers };
  return listSubscriberWarnings(request, { window: findWindow(request) });
}

const INSIDE = { sector: "a-n", lon: -30.505, lat: 12.505 };
const FAR = { sector: "a-n", lon: -30.6, lat: 12.505 };

describe("subscribers off the map", () => {
  it("are not spoken of where there are none", () => {
    expect(warningsFor([])).toEqual([]);
    expect(warningsFor([INSIDE, { ...INSIDE, sector: "b-e" }])).toEqual([]);
  });

  it("are counted and named", () => {
    expect(warningsFor([INSIDE, FAR, INSIDE, { ...FAR, lat: 13 }])).toEqual([
      {
        code: "subscribers_off_map",
        pointer: "/subscribers",
        detail: '2 of 4 subscribers lie off the map and are left out: "c1", "c3"',
      },
    ]);
  });

  it("are only counted beyond the first five", () => {
    const [{ detail }] = warningsFor([INSIDE, ...Array.from({ length: 8 }, () => FAR)]);
    expect(detail).toContain(
      '8 of 9 subscribers lie off the map and are left out: "c1", "c2", "c3", "c4", "c5" and 3 more',
    );
  });

  it("leave a sector that has no others to drawn ones", () => {
    const warnings = warningsFor([INSIDE, { ...FAR, sector: "a-s" }, { ...FAR, sector: "b-e" }, FAR]);
    expect(warnings.map(({ code }) => code)).toEqual(["subscribers_off_map", "subscribers_drawn"]);
    expect(warnings[1].detail).toContain('"a-s", "b-e"');
  });
});
