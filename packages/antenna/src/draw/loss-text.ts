import type { LossRow, LossTable } from "../measure/loss-table.ts";

const LABELS: Readonly<Record<LossRow["counted"], string>> = {
  aperture: "the aperture alone",
  spillover: "with spillover past the rim",
  blockage: "with the blockage",
  "surface-errors": "with errors of the surface",
  "excitation-errors": "with errors of the excitation",
  "feed-leakage": "with leakage into the other polarisation",
  "mast-scatter": "with scatter by the mast",
  "feed-loss": "with the loss of the feed",
  all: "all together",
};

/** The table as words: a head, then a row each. */
export function toLossRows({ rows, frequencyGhz }: LossTable): string[][] {
  const head = [
    `main-beam efficiency at ${frequencyGhz} GHz`,
    "gain, dBi",
    "of the power radiated, %",
    "of the power fed, %",
  ];
  return [
    head,
    ...rows.map(({ counted, gainDbi, mainLobe, mainLobeOfFed }) => [
      LABELS[counted],
      gainDbi.toFixed(2),
      (100 * mainLobe).toFixed(1),
      (100 * mainLobeOfFed).toFixed(1),
    ]),
  ];
}
