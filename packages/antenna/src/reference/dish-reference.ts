import { InputError, wavelengthM } from "@fellmark/units";
import type { AntennaPattern } from "../pattern.ts";
import { offBoresightDeg } from "./off-boresight.ts";

/** A round antenna as the reference patterns see it. */
export interface DishReference {
  gainDbi: number;
  diameterM: number;
  frequencyGhz: number;
}

/** Beyond this angle off boresight the side lobes are a constant level. */
const FAR_LOBES_DEG = 48;

/**
 * Gain of the peak envelope over the side lobes of a point-to-point antenna.
 * Source: ITU-R F.699-8, recommends 2.1 and 2.2 (D over wavelength above 100, and up to it), 1 to 70 GHz.
 * Accuracy: an envelope; its mean over the sphere is 2 to 3, so it never measures a beam and never enters a sum.
 * @param offDeg Angle off boresight, 0 to 180.
 * Example: 25.473 dBi, 0.4 m, 5.8 GHz at 10 degrees: 15.330 dBi.
 */
export function f699GainDbi(dish: DishReference, offDeg: number): number {
  const sizes = dish.diameterM / wavelengthM(dish.frequencyGhz);
  const logSizes = Math.log10(sizes);
  const { shoulderDbi, shoulderDeg } = mainLobe(dish, sizes);
  if (offDeg < shoulderDeg) return mainLobeDbi(dish, sizes, offDeg);
  const wide = sizes <= 100;
  if (offDeg < Math.max(shoulderDeg, wide ? 100 / sizes : 15.85 * sizes ** -0.6)) return shoulderDbi;
  if (offDeg < FAR_LOBES_DEG) return (wide ? 52 - 10 * logSizes : 32) - 25 * Math.log10(offDeg);
  return wide ? 10 - 10 * logSizes : -10;
}

/**
 * Gain averaged over the side lobes of a point-to-point antenna, for many interferers.
 * Source: ITU-R F.1245-3, recommends 2.1 and 2.2. Accuracy: its mean over the sphere is 1.03 at 5.8 GHz, 0.4 to 0.9 m.
 * Example: 25.473 dBi, 0.4 m, 5.8 GHz at 3 degrees: 24.126 dBi.
 */
export function f1245GainDbi(dish: DishReference, offDeg: number): number {
  const sizes = dish.diameterM / wavelengthM(dish.frequencyGhz);
  const logSizes = Math.log10(sizes);
  const { shoulderDbi, shoulderDeg } = mainLobe(dish, sizes);
  if (offDeg < shoulderDeg) return mainLobeDbi(dish, sizes, offDeg);
  const wide = sizes <= 100;
  if (!wide && offDeg < Math.max(shoulderDeg, 12.02 * sizes ** -0.6)) return shoulderDbi;
  if (offDeg < FAR_LOBES_DEG) return (wide ? 39 - 5 * logSizes : 29) - 25 * Math.log10(offDeg);
  return wide ? -3 - 5 * logSizes : -13;
}

/**
 * Gain with lobes that rise and fall, for one interferer.
 * Source: ITU-R F.1245-3, recommends 3.1 and 3.2; the argument of the sine is read as radians.
 * Example: 25.473 dBi, 0.4 m, 5.8 GHz at 10 degrees: 3.852 dBi.
 */
export function f1245SingleEntryGainDbi(dish: DishReference, offDeg: number): number {
  const sizes = dish.diameterM / wavelengthM(dish.frequencyGhz);
  const logSizes = Math.log10(sizes);
  const wide = sizes <= 100;
  const lobesFromDeg = wide ? 39.8 * sizes ** -0.8 : 15.85 * sizes ** -0.6;
  const ripple = Math.sin((3 * Math.PI * offDeg) / (2 * lobesFromDeg)) ** 2;
  const rippleDb = 10 * Math.log10(0.9 * ripple + 0.1);
  if (offDeg < lobesFromDeg) {
    return Math.max(mainLobeDbi(dish, sizes, offDeg), mainLobe(dish, sizes).shoulderDbi + rippleDb);
  }
  if (offDeg < FAR_LOBES_DEG) return (wide ? 42 - 5 * logSizes : 32) - 25 * Math.log10(offDeg) + rippleDb;
  return (wide ? -5 * logSizes : -10) + rippleDb;
}

/** G1 and phi_m of the source: level and start of the shoulder beside the main lobe. */
function mainLobe({ gainDbi }: DishReference, sizes: number): { shoulderDbi: number; shoulderDeg: number } {
  const shoulderDbi = 2 + 15 * Math.log10(sizes);
  return { shoulderDbi, shoulderDeg: (20 / sizes) * Math.sqrt(Math.max(gainDbi - shoulderDbi, 0)) };
}

function mainLobeDbi({ gainDbi }: DishReference, sizes: number, offDeg: number): number {
  return gainDbi - 2.5e-3 * (sizes * offDeg) ** 2;
}

/**
 * Peak gain of a dish where only its size is known.
 * Source: ITU-R F.699-8, recommends 3. Example: 0.4 m at 5.8 GHz: 25.473 dBi.
 */
export function f699PeakGainDbi(diameterM: number, frequencyGhz: number): number {
  return 20 * Math.log10(diameterM / wavelengthM(frequencyGhz)) + 7.7;
}

/**
 * Peak gain of a dish where only its half-power width is known.
 * Source: ITU-R F.699-8, recommends 4. Example: 3 degrees: 34.957 dBi.
 */
export function f699GainFromWidthDbi(halfPowerWidthDeg: number): number {
  return 44.5 - 20 * Math.log10(halfPowerWidthDeg);
}

/** Both patterns hold from 1 GHz to 70 GHz. Throws InputError outside. */
export function dishReferencePattern(kind: "f699" | "f1245", dish: DishReference, pointer: string): AntennaPattern {
  const { frequencyGhz } = dish;
  if (!(frequencyGhz >= 1 && frequencyGhz <= 70)) {
    const detail = `the reference pattern holds from 1 to 70 GHz, not at ${frequencyGhz} GHz`;
    throw new InputError([{ pointer, detail, limit: "1 to 70 GHz" }]);
  }
  const gainDbi = kind === "f699" ? f699GainDbi : f1245GainDbi;
  return {
    peakGainDbi: dish.gainDbi,
    levels: kind === "f699" ? "envelope" : "average",
    gainDbi: (azimuthDeg, elevationDeg) => gainDbi(dish, offBoresightDeg(azimuthDeg, elevationDeg)),
  };
}
