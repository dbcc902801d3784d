import { interpolateOxygenDbPerKm, OXYGEN_BAND_MAX_GHZ } from "./oxygen-band.ts";

export interface Air {
  pressureHpa: number;
  temperatureC: number;
  waterVapourGM3: number;
}

/** Source: ITU-R P.835-6, section 1 (15 degrees, 1013.25 hPa), with the 7.5 g/m^3 of the figures of P.676. */
export const STANDARD_AIR: Air = { pressureHpa: 1013.25, temperatureC: 15, waterVapourGM3: 7.5 };

/**
 * Returns the specific attenuation of oxygen and water vapour near the ground in standard air, dB/km.
 * Source: ITU-R P.676-10, Annex 2, eqs (22a) and (23a), the simplified form, to 54 GHz; oxygen above: P.676-13, Annex 1.
 * Valid for: 1 to 86 GHz; used from 0.5 GHz, where it is below 0.006 dB/km.
 * Accuracy against the line-by-line values of P.676-13: oxygen -5 to 0 %, water 0 to +12 %; at 5.8 GHz together
 * 0.0094 dB/km. Throws RangeError outside 0.5 to 86 GHz. Examples: 24 GHz gives 0.1773 dB/km, 60 GHz 14.79 dB/km.
 */
export function computeGasAttenuationDbPerKm(frequencyGhz: number): number {
  if (!(frequencyGhz >= LEAST_GHZ && frequencyGhz <= OXYGEN_BAND_MAX_GHZ)) {
    throw new RangeError(
      `gas attenuation is known from ${LEAST_GHZ} to ${OXYGEN_BAND_MAX_GHZ} GHz, got ${frequencyGhz}`,
    );
  }
  const oxygenDbPerKm =
    frequencyGhz > FORMULA_MAX_GHZ
      ? interpolateOxygenDbPerKm(frequencyGhz)
      : computeOxygenAttenuationDbPerKm(Math.max(frequencyGhz, 1), STANDARD_AIR);
  return oxygenDbPerKm + computeWaterAttenuationDbPerKm(frequencyGhz, STANDARD_AIR);
}

const LEAST_GHZ = 0.5;
const FORMULA_MAX_GHZ = 54;

/**
 * Specific attenuation of oxygen, dB/km. Source: ITU-R P.676-10, Annex 2, eqs (22a), (22e).
 * Valid for: 1 to 54 GHz; RangeError outside. Example: 1 GHz in standard air: 0.005381 dB/km.
 */
export function computeOxygenAttenuationDbPerKm(frequencyGhz: number, air: Air): number {
  if (!(frequencyGhz >= 1 && frequencyGhz <= 54)) {
    throw new RangeError(`gas attenuation is known from 1 to 54 GHz, got ${frequencyGhz}`);
  }
  const { rp, rt } = computeRelativeAir(air);
  const phi = (a: number, b: number, c: number, d: number) => rp ** a * rt ** b * Math.exp(c * (1 - rp) + d * (1 - rt));
  const x1 = phi(0.0717, -1.8132, 0.0156, -1.6515);
  const x2 = phi(0.5146, -4.6368, -0.1921, -5.7416);
  const x3 = phi(0.3414, -6.5851, 0.213, -8.5854);
  const low = (7.2 * rt ** 2.8) / (frequencyGhz ** 2 + 0.34 * rp ** 2 * rt ** 1.6);
  const high = (0.62 * x3) / ((54 - frequencyGhz) ** (1.16 * x1) + 0.83 * x2);
  return (low + high) * frequencyGhz ** 2 * rp ** 2 * 1e-3;
}

/** Strength, temperature exponent and centre (GHz) of a water line; width where it has one; eta 1 or 2; whether g applies. */
const WATER_LINES = [
  { strength: 3.98, exponent: 2.23, centreGhz: 22.235, width: 9.42, eta: 1, edgeGhz: 22 },
  { strength: 11.96, exponent: 0.7, centreGhz: 183.31, width: 11.14, eta: 1, edgeGhz: null },
  { strength: 0.081, exponent: 6.44, centreGhz: 321.226, width: 6.29, eta: 1, edgeGhz: null },
  { strength: 3.66, exponent: 1.6, centreGhz: 325.153, width: 9.22, eta: 1, edgeGhz: null },
  { strength: 25.37, exponent: 1.09, centreGhz: 380, width: 0, eta: 1, edgeGhz: null },
  { strength: 17.4, exponent: 1.46, centreGhz: 448, width: 0, eta: 1, edgeGhz: null },
  { strength: 844.6, exponent: 0.17, centreGhz: 557, width: 0, eta: 1, edgeGhz: 557 },
  { strength: 290, exponent: 0.41, centreGhz: 752, width: 0, eta: 1, edgeGhz: 752 },
  { strength: 8.3328e4, exponent: 0.99, centreGhz: 1780, width: 0, eta: 2, edgeGhz: 1780 },
] as const;

/**
 * Specific attenuation of water vapour, dB/km. Source: ITU-R P.676-10, Annex 2, eqs (23a) to (23d).
 * Valid for: 1 to 350 GHz. Example: 24 GHz in standard air: 0.1633 dB/km.
 */
export function computeWaterAttenuationDbPerKm(frequencyGhz: number, air: Air): number {
  const { rp, rt } = computeRelativeAir(air);
  const density = air.waterVapourGM3;
  const eta1 = 0.955 * rp * rt ** 0.68 + 0.006 * density;
  const eta2 = 0.735 * rp * rt ** 0.5 + 0.0353 * rt ** 4 * density;
  let sum = 0;
  for (const { strength, exponent, centreGhz, width, eta, edgeGhz } of WATER_LINES) {
    const wing = (frequencyGhz - centreGhz) ** 2 + width * eta1 ** 2;
    const edge = edgeGhz === null ? 1 : 1 + ((frequencyGhz - edgeGhz) / (frequencyGhz + edgeGhz)) ** 2;
    sum += ((strength * (eta === 1 ? eta1 : eta2) * Math.exp(exponent * (1 - rt))) / wing) * edge;
  }
  return sum * frequencyGhz ** 2 * rt ** 2.5 * density * 1e-4;
}

/** Pressure and inverse temperature relative to 1013 hPa and 288 K: rp and rt of the source. */
function computeRelativeAir(air: Air): { rp: number; rt: number } {
  return { rp: air.pressureHpa / 1013, rt: 288 / (273 + air.temperatureC) };
}
