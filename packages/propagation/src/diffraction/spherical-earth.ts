import { SMOOTH_CLEARANCE_FACTOR } from "./smooth-earth-bound.ts";

export type Polarisation = "horizontal" | "vertical";

/** Electrical ground constants. Source: ITU-R P.526-15, section 3.1; P.1812-6, section 4.3.3. */
const GROUND = {
  land: { permittivity: 22, conductivity: 0.003 },
  sea: { permittivity: 80, conductivity: 5 },
} as const;

export type Ground = keyof typeof GROUND;

interface AboveSphere {
  distanceM: number;
  /** Antenna heights above the smooth surface, m, above 0. */
  txHeightM: number;
  rxHeightM: number;
  frequencyGhz: number;
  polarisation: Polarisation;
}

export interface FirstTermInput extends AboveSphere {
  /** Radius of the sphere that the first term is computed for, m. */
  radiusM: number;
  ground: Ground;
}

export interface SphericalEarthInput extends AboveSphere {
  wavelengthM: number;
  effectiveEarthRadiusM: number;
  /** Share of the path over sea, 0 to 1. */
  seaFraction: number;
}

/**
 * Loss of the first term of the residue series over a smooth sphere, dB; negative well inside the horizon.
 * Symbols are the source's: K admittance, beta, X distance, Y heights, F distance term, G height gain.
 * Source: ITU-R P.526-15, section 3.1.1.2, eqs (13) to (18b); P.1812-6, section 4.3.3, eqs (29) to (36).
 * Valid for: beyond the horizon; above 10 MHz.
 * Example: 40 km, 30 and 10 m, 5.8 GHz, horizontal, land, 4/3 Earth: 22.3232 dB.
 */
export function computeFirstTermLossDb(input: FirstTermInput): number {
  const { distanceM, txHeightM, rxHeightM, frequencyGhz: f, polarisation } = input;
  const radiusKm = input.radiusM / 1000;
  const k = computeSurfaceAdmittance(radiusKm, f, input.ground, polarisation);
  const beta = (1 + 1.6 * k ** 2 + 0.67 * k ** 4) / (1 + 4.5 * k ** 2 + 1.53 * k ** 4);
  const x = 21.88 * beta * Math.cbrt(f / radiusKm ** 2) * (distanceM / 1000);
  const yPerM = 0.9575 * beta * Math.cbrt(f ** 2 / radiusKm);
  return (
    -computeDistanceTermDb(x) -
    computeHeightGainDb(yPerM * txHeightM, beta, k) -
    computeHeightGainDb(yPerM * rxHeightM, beta, k)
  );
}

/** Eqs (29a), (29b): normalised factor for the surface admittance. */
function computeSurfaceAdmittance(radiusKm: number, f: number, ground: Ground, polarisation: Polarisation): number {
  const { permittivity, conductivity } = GROUND[ground];
  const loss = (18 * conductivity) / f;
  const horizontal = (0.036 / Math.cbrt(radiusKm * f)) * ((permittivity - 1) ** 2 + loss ** 2) ** -0.25;
  return polarisation === "horizontal" ? horizontal : horizontal * Math.sqrt(permittivity ** 2 + loss ** 2);
}

/** Eq (33), F(X). */
function computeDistanceTermDb(x: number): number {
  return x >= 1.6 ? 11 + 10 * Math.log10(x) - 17.6 * x : -20 * Math.log10(x) - 5.6488 * x ** 1.425;
}

/** Eqs (34), (35), G(Y). Beta multiplies Y once more here: without it the published losses over sea are 1.2 dB off. */
function computeHeightGainDb(y: number, beta: number, k: number): number {
  const b = beta * y;
  const gainDb = b > 2 ? 17.6 * Math.sqrt(b - 1.1) - 5 * Math.log10(b - 1.1) - 8 : 20 * Math.log10(b + 0.1 * b ** 3);
  return Math.max(gainDb, 2 + 20 * Math.log10(k));
}

/**
 * Diffraction loss over a smooth spherical Earth, dB, 0 or more: first term beyond the horizon, interpolated to 0
 * where the smooth surface clears the path by what eq (25) asks (P.526-15 eq (26) rounds its factor to 0.552: 2e-4 dB).
 * Symbols: h1, h2 heights; c, m, b of eq (24); d1, d2 distances to the point nearest the sight line.
 * Source: ITU-R P.526-15, section 3.2; P.1812-6, section 4.3.2, eqs (22) to (28).
 * Example: 5 km, 30 and 10 m, 5.8 GHz, horizontal, land, 4/3 Earth: 0 dB.
 */
export function computeSphericalEarthLossDb(input: SphericalEarthInput): number {
  const { distanceM: d, txHeightM: h1, rxHeightM: h2, effectiveEarthRadiusM: radiusM } = input;
  if (d >= Math.sqrt(2 * radiusM) * (Math.sqrt(h1) + Math.sqrt(h2))) return computeMixedFirstTermLossDb(input, radiusM);
  const b = computeLeastClearanceRoot((h1 - h2) / (h1 + h2), (d * d) / (4 * radiusM * (h1 + h2)));
  const d1 = (d / 2) * (1 + b);
  const d2 = d - d1;
  const clearM = ((h1 - d1 ** 2 / (2 * radiusM)) * d2 + (h2 - d2 ** 2 / (2 * radiusM)) * d1) / d;
  const wantedM = SMOOTH_CLEARANCE_FACTOR * Math.sqrt((d1 * d2 * input.wavelengthM) / d);
  if (clearM > wantedM) return 0;
  const horizonRadiusM = 0.5 * (d / (Math.sqrt(h1) + Math.sqrt(h2))) ** 2;
  return (1 - clearM / wantedM) * Math.max(computeMixedFirstTermLossDb(input, horizonRadiusM), 0);
}

/**
 * Root b of eq (24): the point of least clearance lies at (1 + b) / 2 of the path from the transmitter.
 * @param c (h1 - h2) / (h1 + h2). @param m d^2 / (4 a (h1 + h2)).
 */
export function computeLeastClearanceRoot(c: number, m: number): number {
  const angle = Math.PI / 3 + Math.acos(((3 * c) / 2) * Math.sqrt((3 * m) / (m + 1) ** 3)) / 3;
  return 2 * Math.sqrt((m + 1) / (3 * m)) * Math.cos(angle);
}

/** Eq (28): first term over land and sea in the shares of the path. */
function computeMixedFirstTermLossDb(input: SphericalEarthInput, radiusM: number): number {
  const landDb = computeFirstTermLossDb({ ...input, radiusM, ground: "land" });
  if (input.seaFraction === 0) return landDb;
  const seaDb = computeFirstTermLossDb({ ...input, radiusM, ground: "sea" });
  return input.seaFraction * seaDb + (1 - input.seaFraction) * landDb;
}
