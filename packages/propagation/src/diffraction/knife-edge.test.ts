import { expect, it } from "vitest";
import { computeExactKnifeEdgeLossDb, computeFresnelIntegrals, computeKnifeEdgeLossDb } from "./knife-edge.ts";

it.each([
  // Abramowitz and Stegun, Handbook of Mathematical Functions, table 7.7.
  { x: 0.5, c: 0.4923442, s: 0.0647324 },
  { x: 1, c: 0.7798934, s: 0.4382591 },
  { x: 2, c: 0.4882534, s: 0.3434157 },
  { x: 5, c: 0.5636312, s: 0.4991914 },
])("has the tabled Fresnel integrals of $x", ({ x, c, s }) => {
  const there = computeFresnelIntegrals(x);
  expect(there.c).toBeCloseTo(c, 7);
  expect(there.s).toBeCloseTo(s, 7);
  expect(computeFresnelIntegrals(-x)).toEqual({ c: -there.c, s: -there.s });
});

it("joins series and auxiliary functions without a step", () => {
  const [below, above] = [computeFresnelIntegrals(1.5), computeFresnelIntegrals(1.5 + 1e-12)];
  expect(Math.abs(below.c - above.c)).toBeLessThan(2e-12);
  expect(Math.abs(below.s - above.s)).toBeLessThan(2e-12);
});

it("loses 6.02 dB at the sight line, and the approximation 6.03 (P.526-15 eqs (30), (31))", () => {
  expect(computeExactKnifeEdgeLossDb(0)).toBeCloseTo(20 * Math.log10(2), 12);
  expect(computeKnifeEdgeLossDb(0)).toBeCloseTo(6.0329, 4);
  expect(computeKnifeEdgeLossDb(2.539469598)).toBeCloseTo(21.0103412, 6);
  expect(computeKnifeEdgeLossDb(-0.8)).toBe(0);
});

it("is approximated within 0.13 dB", () => {
  for (let nu = -0.77; nu < 30; nu += 0.01) {
    expect(Math.abs(computeKnifeEdgeLossDb(nu) - computeExactKnifeEdgeLossDb(nu))).toBeLessThan(0.13);
  }
});
