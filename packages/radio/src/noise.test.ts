import { expect, it } from "vitest";
import { computeNoiseDbm, computeNoiseRiseDb, NOISE_DENSITY_DBM_PER_HZ } from "./noise.ts";

it("is kTB with the noise figure (k of SI 2019, 290 K)", () => {
  expect(NOISE_DENSITY_DBM_PER_HZ).toBeCloseTo(-173.975187, 6);
  expect(computeNoiseDbm(20, 0)).toBeCloseTo(-100.965, 3);
  expect(computeNoiseDbm(20, 6)).toBeCloseTo(-94.965, 3);
});

it("rises by 0.97 dB at I/N of -6 dB (ITU-R F.758 planning criterion)", () => {
  expect(computeNoiseRiseDb(-6)).toBeCloseTo(0.973, 3);
});
