import type { Rgb } from "@fellmark/picture";
import { expect, it } from "vitest";
import { buildRamp, buildTierPalette, toOklab } from "./palette.ts";

/** Source: G. Machado, M. Oliveira, L. Fernandes, IEEE TVCG 15 (6), 2009, severity 1: protan, deutan, tritan. */
const DEFICIENCIES = [
  [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
  [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.01182, 0.04294, 0.968881],
  [1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.3039],
];

function seen([red, green, blue]: Rgb, matrix: number[]): Rgb {
  const part = (row: number) => matrix[row] * red + matrix[row + 1] * green + matrix[row + 2] * blue;
  return [part(0), part(3), part(6)].map((value) => Math.min(255, Math.max(0, value))) as Rgb;
}

it("runs from dark for the best plan to light, in even steps of lightness", () => {
  const lightness = buildRamp(5).map((colour) => toOklab(colour)[0]);
  for (let plan = 1; plan < 5; plan++) expect(lightness[plan] - lightness[plan - 1]).toBeGreaterThan(0.12);
});

it("keeps six plans apart for each kind of colour deficiency", () => {
  // 0.02 in OKLab is about a just noticeable difference.
  for (const matrix of DEFICIENCIES) {
    const lab = buildRamp(6).map((colour) => toOklab(seen(colour, matrix)));
    for (let plan = 1; plan < 6; plan++) {
      expect(Math.hypot(...lab[plan].map((part, axis) => part - lab[plan - 1][axis]))).toBeGreaterThan(0.08);
    }
  }
});

it("writes colours as hex, one plan in the darkest", () => {
  expect(buildTierPalette(1)).toEqual(["#2c1c64"]);
  expect(buildTierPalette(3)).toEqual(["#2c1c64", "#46a69e", "#fae896"]);
});
