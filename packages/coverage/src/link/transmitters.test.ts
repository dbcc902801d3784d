import { createAntennaPattern } from "@fellmark/antenna";
import { toRatio } from "@fellmark/units";
import { expect, it } from "vitest";
import { drawNetwork } from "../layers/testing/seeded-network.ts";
import { computeScatteredGain } from "./transmitters.ts";

const TRAITS = { seed: 1, chains: 2, comesAndGoes: false, emitters: 0, sites: 1 } as const;
const CAPS = { clear: 35, grazing: 20, blocked: 15 } as const;
const MODEL = drawNetwork(TRAITS).request.model;
const PANEL = {
  kind: "patch-array",
  ...{ columns: 4, rows: 4, columnSpacingM: 0.04, rowSpacingM: 0.04, designFrequencyGhz: 5.8 },
} as const;

it.each([true, false])(
  "counts what the mast scatters once, 35 and not 32 dB under the peak (ideal lobes: %s)",
  (idealLobes) => {
    const pattern = createAntennaPattern({ ...PANEL, idealLobes }, 5.8);
    const { peakGainDbi, scatteredGain = 0 } = pattern;
    expect(scatteredGain > 0).toBe(!idealLobes);
    for (const sight of ["clear", "grazing", "blocked"] as const) {
      const together = scatteredGain + computeScatteredGain(MODEL, pattern, sight);
      expect(10 * Math.log10(together / toRatio(peakGainDbi - CAPS[sight]))).toBeCloseTo(0, 1);
    }
  },
);
