import { InputError } from "@fellmark/units";
import { expect, it } from "vitest";
import { computeFeederLossDb } from "./cables.ts";

it("loses what such cables are listed with, dB per 100 m at 0.9, 2.4, 3.6 and 5.8 GHz (common practice, no source)", () => {
  const listed = {
    "foam-5mm": [36, 61, 76, 98],
    "foam-6mm": [25, 42, 52, 67],
    "foam-10mm": [13, 22, 27, 35.5],
    "foam-15mm": [8, 14, 18, 24],
  };
  for (const [cable, losses] of Object.entries(listed)) {
    [0.9, 2.4, 3.6, 5.8].forEach((frequencyGhz, index) => {
      const lossDb = computeFeederLossDb({ cable, lengthM: 100, connectors: 0 }, frequencyGhz);
      expect(Math.abs(lossDb - losses[index])).toBeLessThan(0.35);
    });
  }
});

it("adds the connectors, and names a cable that it does not know", () => {
  expect(computeFeederLossDb({ cable: "foam-10mm", lengthM: 30, connectors: 2 }, 5.8)).toBeCloseTo(10.9, 1);
  const unknown = () => computeFeederLossDb({ cable: "string", lengthM: 1, connectors: 0 }, 5.8, "/cpe/feeder");
  expect(unknown).toThrow(InputError);
  expect(unknown).toThrow(
    expect.objectContaining({ problems: [expect.objectContaining({ pointer: "/cpe/feeder/cable" })] }),
  );
});
