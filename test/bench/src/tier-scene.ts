import type { LatticeWindow } from "@fellmark/geodesy";
import { createSeededRandom } from "@fellmark/testkit";
import { TIER_CLASS, type TierPlan } from "@fellmark/tiers";

export interface TierScene {
  window: LatticeWindow;
  plans: TierPlan[];
  classes: Uint8Array;
}

const PLANS: TierPlan[] = [
  { id: "p250", downMbps: 250, upMbps: 50 },
  { id: "p100", downMbps: 100, upMbps: 20 },
  { id: "p50", downMbps: 50, upMbps: 10 },
  { id: "p25", downMbps: 25, upMbps: 5 },
  { id: "p10", downMbps: 10, upMbps: 2 },
];

/**
 * Six classes (five plans and no service) in a disc on a square window at zoom 12, 45 degrees north: what falls with
 * distance, fractal noise for hills and shadows down to single cells, and some patches not known.
 */
export function tierScene(size: number, seed: number): TierScene {
  const window = { zoom: 12, col0: 312_000, row0: 377_000, width: size, height: size };
  const relief = fractalNoise(size, seed);
  const gaps = fractalNoise(size, seed + 1);
  const classes = new Uint8Array(size * size);
  for (let at = 0; at < classes.length; at++) {
    const dx = (at % size) + 0.5 - size / 2;
    const dy = Math.floor(at / size) + 0.5 - size / 2;
    const radius = Math.hypot(dx, dy) / (size / 2);
    const level = Math.floor(1 + 5 * (radius * 0.8 + 0.7 * relief[at]));
    if (radius > 1) classes[at] = TIER_CLASS.outside;
    else if (gaps[at] > 0.95) classes[at] = TIER_CLASS.notKnown;
    else classes[at] = level > PLANS.length ? TIER_CLASS.noService : Math.max(1, level);
  }
  return { window, plans: PLANS, classes };
}

/** Value noise in octaves of 256 to 1 cells, each with 0.55 of the height of the one before. */
function fractalNoise(size: number, seed: number): Float32Array {
  const random = createSeededRandom(seed);
  const total = new Float32Array(size * size);
  let height = 1;
  for (let spacing = 256; spacing >= 1; spacing /= 2, height *= 0.55) {
    const knots = Math.ceil(size / spacing) + 2;
    const values = Float32Array.from({ length: knots * knots }, () => height * (2 * random() - 1));
    for (let row = 0; row < size; row++) addRow(total, values, { row, size, spacing, knots });
  }
  return total;
}

function addRow(
  total: Float32Array,
  values: Float32Array,
  { row, size, spacing, knots }: { row: number; size: number; spacing: number; knots: number },
): void {
  const y = row / spacing;
  const top = Math.floor(y) * knots;
  const down = y - Math.floor(y);
  for (let column = 0; column < size; column++) {
    const x = column / spacing;
    const at = top + Math.floor(x);
    const across = x - Math.floor(x);
    const north = values[at] + across * (values[at + 1] - values[at]);
    const south = values[at + knots] + across * (values[at + knots + 1] - values[at + knots]);
    total[row * size + column] += north + down * (south - north);
  }
}
