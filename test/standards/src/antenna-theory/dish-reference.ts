import type { DishReference } from "@fellmark/antenna";
import { computeWavelengthM } from "@fellmark/units";

/** Beyond this angle off boresight the side lobes are a constant level. */
const FAR_LOBES_DEG = 48;

/**
 * Gain with lobes that rise and fall, for one interferer.
 * Source: ITU-R F.1245-3, recommends 3.1 and 3.2; the argument of the sine is read as radians.
 * Example: 25.473 dBi, 0.4 m, 5.8 GHz at 10 degrees: 3.852 dBi.
 */
export function computeF1245SingleEntryGainDbi(dish: DishReference, offDeg: number): number {
  const sizes = dish.diameterM / computeWavelengthM(dish.frequencyGhz);
  const logSizes = Math.log10(sizes);
  const wide = sizes <= 100;
  const lobesFromDeg = wide ? 39.8 * sizes ** -0.8 : 15.85 * sizes ** -0.6;
  const ripple = Math.sin((3 * Math.PI * offDeg) / (2 * lobesFromDeg)) ** 2;
  const rippleDb = 10 * Math.log10(0.9 * ripple + 0.1);
  if (offDeg < lobesFromDeg) {
    const mainLobeDbi = dish.gainDbi - 2.5e-3 * (sizes * offDeg) ** 2;
    const shoulderDbi = 2 + 15 * Math.log10(sizes);
    return Math.max(mainLobeDbi, shoulderDbi + rippleDb);
  }
  if (offDeg < FAR_LOBES_DEG) return (wide ? 42 - 5 * logSizes : 32) - 25 * Math.log10(offDeg) + rippleDb;
  return (wide ? -5 * logSizes : -10) + rippleDb;
}

/**
 * Peak gain of a dish where only its size is known.
 * Source: ITU-R F.699-8, recommends 3. Example: 0.4 m at 5.8 GHz: 25.473 dBi.
 */
export function computeF699PeakGainDbi(diameterM: number, frequencyGhz: number): number {
  return 20 * Math.log10(diameterM / computeWavelengthM(frequencyGhz)) + 7.7;
}

/**
 * Peak gain of a dish where only its half-power width is known.
 * Source: ITU-R F.699-8, recommends 4. Example: 3 degrees: 34.957 dBi.
 */
export function computeF699GainFromWidthDbi(halfPowerWidthDeg: number): number {
  return 44.5 - 20 * Math.log10(halfPowerWidthDeg);
}
