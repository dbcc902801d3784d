import { expect, it } from "vitest";
import { computeExactBullingtonDb, computeTabulatedBullingtonDb } from "./loss-table.ts";

it("gives the Bullington loss within 3e-6 dB of the formula, from no clearance to far behind the horizon", () => {
  let worst = 0;
  for (let nu2 = 1e-4; nu2 < 1e9; nu2 *= 1.00037) {
    worst = Math.max(worst, Math.abs(computeTabulatedBullingtonDb(nu2, 10.4) - computeExactBullingtonDb(nu2, 10.4)));
  }
  expect(worst).toBeLessThan(3e-6);
});

it("is 6.03 dB and the tail on it at nu = 0 (ITU-R P.526-15 eq 31: J(0) = 6.03; P.1812-6 eq 21)", () => {
  expect(computeExactBullingtonDb(0, 10)).toBeCloseTo(6.033 + (1 - Math.exp(-6.033 / 6)) * 10, 2);
});
