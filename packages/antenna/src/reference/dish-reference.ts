import { computeWavelengthM, InputError } from "@fellmark/units";
import type { AntennaPattern } from "../pattern.ts";
import { computeOffBoresightDeg } from "./off-boresight.ts";

/** Inputs of the reference patterns of a round antenna. */
export interface DishReference {
  gainDbi: number;
  diameterM: number;
  frequencyGhz: number;
}

/** Beyond this angle off boresight the side lobes are a constant level. */
const FAR_LOBES_DEG = 48;

/**
 * Returns the gain of the peak envelope over the side lobes of a point-to-point antenna.
 * Source: ITU-R F.699-8, recommends 2.1 and 2.2 (D over wavelength above 100, and up to it), 1 to 70 GHz.
 * Accuracy: an envelope; its mean over the sphere is 2 to 3, so it never measures a beam and never enters a sum.
 * @param offDeg Angle off boresight, 0 to 180.
 * Example: 25.473 dBi, 0.4 m, 5.8 GHz at 10 degrees: 15.330 dBi.
 */
export function computeF699GainDbi(dish: DishReference, offDeg: number): number {
  const sizes = dish.diameterM / computeWavelengthM(dish.frequencyGhz);
  const logSizes = Math.log10(sizes);
  const { shoulderDbi, shoulderDeg } = computeMainLobe(dish, sizes);
  if (offDeg < shoulderDeg) return computeMainLobeDbi(dish, sizes, offDeg);
  const wide = sizes <= 100;
  if (offDeg < Math.max(shoulderDeg, wide ? 100 / sizes : 15.85 * sizes ** -0.6)) return shoulderDbi;
  if (offDeg < FAR_LOBES_DEG) return (wide ? 52 - 10 * logSizes : 32) - 25 * Math.log10(offDeg);
  return wide ? 10 - 10 * logSizes : -10;
}

/**
 * Returns the gain averaged over the side lobes of a point-to-point antenna, for many interferers.
 * Source: ITU-R F.1245-3, recommends 2.1 and 2.2. Accuracy: its mean over the sphere is 1.03 at 5.8 GHz, 0.4 to 0.9 m.
 * Example: 25.473 dBi, 0.4 m, 5.8 GHz at 3 degrees: 24.126 dBi.
 */
export function computeF1245GainDbi(dish: DishReference, offDeg: number): number {
  const sizes = dish.diameterM / computeWavelengthM(dish.frequencyGhz);
  const logSizes = Math.log10(sizes);
  const { shoulderDbi, shoulderDeg } = computeMainLobe(dish, sizes);
  if (offDeg < shoulderDeg) return computeMainLobeDbi(dish, sizes, offDeg);
  const wide = sizes <= 100;
  if (!wide && offDeg < Math.max(shoulderDeg, 12.02 * sizes ** -0.6)) return shoulderDbi;
  if (offDeg < FAR_LOBES_DEG) return (wide ? 39 - 5 * logSizes : 29) - 25 * Math.log10(offDeg);
  return wide ? -3 - 5 * logSizes : -13;
}

/** Returns G1 and phi_m of the source: level and start of the shoulder beside the main lobe. */
function computeMainLobe({ gainDbi }: DishReference, sizes: number): { shoulderDbi: number; shoulderDeg: number } {
  const shoulderDbi = 2 + 15 * Math.log10(sizes);
  return { shoulderDbi, shoulderDeg: (20 / sizes) * Math.sqrt(Math.max(gainDbi - shoulderDbi, 0)) };
}

function computeMainLobeDbi({ gainDbi }: DishReference, sizes: number, offDeg: number): number {
  return gainDbi - 2.5e-3 * (sizes * offDeg) ** 2;
}

/** Returns a reference pattern. Throws InputError outside 1 GHz to 70 GHz. */
export function createDishReferencePattern(
  kind: "f699" | "f1245",
  dish: DishReference,
  pointer: string,
): AntennaPattern {
  const { frequencyGhz } = dish;
  if (!(frequencyGhz >= 1 && frequencyGhz <= 70)) {
    const detail = `the reference pattern is valid from 1 to 70 GHz, not at ${frequencyGhz} GHz`;
    throw new InputError([{ pointer, detail, limit: "1 to 70 GHz" }]);
  }
  const gainDbi = kind === "f699" ? computeF699GainDbi : computeF1245GainDbi;
  return {
    peakGainDbi: dish.gainDbi,
    levels: kind === "f699" ? "envelope" : "average",
    gainDbi: (azimuthDeg, elevationDeg) => gainDbi(dish, computeOffBoresightDeg(azimuthDeg, elevationDeg)),
  };
}
