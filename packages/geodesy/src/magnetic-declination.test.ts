import { expect, it } from "vitest";
import { findMagneticDeclination } from "./magnetic-declination.ts";

// NOAA NCEI, WMM2025_TEST_VALUES.txt (December 2024), columns date, height 0 km, latitude, longitude and declination.
it.each([
  ["2025-01-01", 80, 0, 1.28],
  ["2025-01-01", 0, 120, -0.16],
  ["2025-01-01", -80, 240, 68.78],
  ["2027-07-02", 80, 0, 2.59],
  ["2027-07-02", 0, 120, -0.24],
  ["2027-07-02", -80, 240, 68.49],
])(
  "on %s at latitude %d, longitude %d the declination is %d degrees (World Magnetic Model 2025)",
  (day, lat, lon, deg) => {
    const found = findMagneticDeclination({ lon: lon > 180 ? lon - 360 : lon, lat }, day);
    expect(Math.abs((found?.declinationDeg ?? Number.NaN) - deg)).toBeLessThan(0.011);
    expect(found?.model).toBe("WMM-2025");
  },
);

it("is not known once the model has ended, nor before the first", () => {
  const last = findMagneticDeclination({ lon: 0, lat: 50 }, "2026-11-30")?.validTo ?? "";
  expect(last).toMatch(/^2029-1[12]-/);
  expect(findMagneticDeclination({ lon: 0, lat: 50 }, "2031-01-01")).toBeNull();
  expect(findMagneticDeclination({ lon: 0, lat: 50 }, "1990-01-01")).toBeNull();
});
