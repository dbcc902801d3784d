import type { PathParameters } from "./path-parameters.ts";
import type { RadioClimate } from "./radio-climate.ts";

export interface DuctingInput {
  path: PathParameters;
  climate: RadioClimate;
  frequencyGhz: number;
  effectiveEarthRadiusKm: number;
  timePercent: number;
  seaFraction: number;
  /** Distance over land from each antenna to the coast along the path, km: dct, dcr. */
  txCoastKm: number;
  rxCoastKm: number;
}

/** Coupling to the duct at one end: horizon elevation and distance, distance to the coast, height above the sea. */
interface DuctEnd {
  elevationMrad: number;
  horizonKm: number;
  coastKm: number;
  heightAmslM: number;
}

/**
 * Loss by ducting and layer reflection not exceeded for p % of the time, dB: Lba = Af + Ad(p).
 * Source: ITU-R P.1812-6, section 4.5, eqs (46) to (56a). Valid for: 1 to 50 %.
 */
export function computeDuctingLossDb(input: DuctingInput): number {
  const { txAmslM, rxAmslM, tx, rx } = input.path;
  const [txEnd, rxEnd] = [
    { ...tx, horizonKm: tx.distanceKm, coastKm: input.txCoastKm, heightAmslM: txAmslM },
    { ...rx, horizonKm: rx.distanceKm, coastKm: input.rxCoastKm, heightAmslM: rxAmslM },
  ];
  return computeCouplingLossDb(input, txEnd, rxEnd) + computeAnomalousLossDb(input, txEnd, rxEnd);
}

/** Eq (47): fixed coupling losses between the antennas and the duct, Af. */
function computeCouplingLossDb(input: DuctingInput, tx: DuctEnd, rx: DuctEnd): number {
  const { frequencyGhz: f, seaFraction } = input;
  // Eq (47a): wavelengths too long for the duct.
  const longWaveDb = f < 0.5 ? 45.375 - 137 * f + 92.5 * f * f : 0;
  const ofEnd = (end: DuctEnd) => computeShieldingLossDb(end, f) + computeSeaCouplingDb(end, seaFraction);
  const spreadingDb = 20 * Math.log10(f) + 20 * Math.log10(tx.horizonKm + rx.horizonKm);
  return 102.45 + spreadingDb + longWaveDb + ofEnd(tx) + ofEnd(rx);
}

/** Eqs (48), (48a): shielding of one end by its horizon, Ast or Asr. */
function computeShieldingLossDb({ elevationMrad, horizonKm }: DuctEnd, f: number): number {
  const overMrad = elevationMrad - 0.1 * horizonKm;
  if (overMrad <= 0) return 0;
  return 20 * Math.log10(1 + 0.361 * overMrad * Math.sqrt(f * horizonKm)) + 0.264 * overMrad * Math.cbrt(f);
}

/** Eqs (49), (49a): over-sea coupling of one end near the coast, Act or Acr: 0 or less. */
function computeSeaCouplingDb({ coastKm, horizonKm, heightAmslM }: DuctEnd, seaFraction: number): number {
  if (seaFraction < 0.75 || coastKm > horizonKm || coastKm > 5) return 0;
  return -3 * Math.exp(-0.25 * coastKm ** 2) * (1 + Math.tanh(0.07 * (50 - heightAmslM)));
}

/** Eqs (50) to (53a): losses within the duct that depend on angle and time, Ad(p). */
function computeAnomalousLossDb(input: DuctingInput, tx: DuctEnd, rx: DuctEnd): number {
  const { path, frequencyGhz, effectiveEarthRadiusKm, timePercent } = input;
  const d = path.pathKm;
  const perMradDb = 5e-5 * effectiveEarthRadiusKm * Math.cbrt(frequencyGhz);
  const limitedMrad = (end: DuctEnd) => Math.min(end.elevationMrad, 0.1 * end.horizonKm);
  const angleMrad = (1000 * d) / effectiveEarthRadiusKm + limitedMrad(tx) + limitedMrad(rx);
  const betaPercent = input.climate.beta0Percent * computePathGeometryFactor(input) * computeRoughnessFactor(path);
  const logBeta = Math.log10(betaPercent);
  const curve = (9.51 - 4.8 * logBeta + 0.198 * logBeta ** 2) * 1e-6 * d ** 1.13;
  const gamma = (1.076 / (2.0058 - logBeta) ** 1.012) * Math.exp(-curve);
  const ratio = timePercent / betaPercent;
  const ofTimeDb = -12 + (1.2 + 3.7e-3 * d) * Math.log10(ratio) + 12 * ratio ** gamma;
  return perMradDb * angleMrad + ofTimeDb;
}

/** Eqs (55), (55a): correction of beta0 for the heights over the smooth Earth, mu2, at most 1. */
function computePathGeometryFactor({ path, climate, effectiveEarthRadiusKm }: DuctingInput): number {
  const alpha = Math.max(-0.6 - 3.5e-9 * path.pathKm ** 3.1 * climate.tau, -3.4);
  const heights = (Math.sqrt(path.effectiveTxHeightM) + Math.sqrt(path.effectiveRxHeightM)) ** 2;
  return Math.min(((500 / effectiveEarthRadiusKm) * (path.pathKm ** 2 / heights)) ** alpha, 1);
}

/** Eqs (56), (56a): correction of beta0 for the roughness of the terrain, mu3. */
function computeRoughnessFactor({ roughnessM, pathKm, tx, rx }: PathParameters): number {
  if (roughnessM <= 10) return 1;
  const betweenKm = Math.min(pathKm - tx.distanceKm - rx.distanceKm, 40);
  return Math.exp(-4.6e-5 * (roughnessM - 10) * (43 + 6 * betweenKm));
}
