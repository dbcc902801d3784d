import { computeKnifeEdgeLossDb } from "./knife-edge.ts";

export interface BullingtonInput {
  /** Distance from the transmitter, m: first 0, strictly rising. */
  distanceM: Float64Array;
  /** Heights that obstruct, m above sea level, one per distance; the two ends do not count. */
  heightAmslM: Float64Array;
  /** Antenna heights above sea level, m. */
  txAmslM: number;
  rxAmslM: number;
  wavelengthM: number;
  effectiveEarthRadiusM: number;
}

export interface BullingtonResult {
  lossDb: number;
  /** Diffraction parameter of the edge that replaces the profile; -Infinity where there is no interior point. */
  nu: number;
  /** True where some interior point reaches the sight line or more. */
  transHorizon: boolean;
}

/**
 * Bullington part of the delta-Bullington method: the whole profile replaced by one knife edge. On a clear path that
 * edge is the interior point of greatest nu, on an obstructed one it stands where the two horizon lines meet.
 * Source: ITU-R P.526-15, section 4.5.1, eqs (46) to (53); P.1812-6, section 4.3.1, eqs (13) to (21).
 * Valid for: 1 or more interior points (with none the loss is 0); P.1812 states 30 MHz to 6 GHz, 0.25 to 3000 km.
 * Example: ridge of 60 m at 4 of 10 km, antennas 30 and 10 m, 5.8 GHz, 4/3 Earth: nu 5.0043, 36.904 dB.
 */
export function computeBullingtonLoss(input: BullingtonInput): BullingtonResult {
  const { distanceM, txAmslM, rxAmslM } = input;
  const pathM = distanceM[distanceM.length - 1];
  const stim = findSteepestSlope(input, "transmitter");
  const transHorizon = stim >= (rxAmslM - txAmslM) / pathM;
  const nu = transHorizon ? computeHorizonEdgeNu(input, stim) : findGreatestNu(input);
  return { lossDb: addBullingtonTailDb(computeKnifeEdgeLossDb(nu), computeBullingtonTailDb(pathM)), nu, transHorizon };
}

/** Eq (21): greatest tail of the Bullington part, dB: 10 + 0.02 d, d in km. Example: 10 km gives 10.2 dB. */
export function computeBullingtonTailDb(pathM: number): number {
  return 10 + 0.02e-3 * pathM;
}

/**
 * Bullington part of a knife-edge loss J, dB: J + (1 - exp(-J / 6)) times the tail, the average cost of the edges beside
 * the chosen one. Source: ITU-R P.1812-6, section 4.3.1, eq (21).
 * @param tailDb greatest tail of the path, `computeBullingtonTailDb`. Example: J = 6.033 dB on 10 km gives 12.501 dB.
 */
export function addBullingtonTailDb(knifeEdgeDb: number, tailDb: number): number {
  return knifeEdgeDb + (1 - Math.exp(-knifeEdgeDb / 6)) * tailDb;
}

/** Eqs (13) and (17): steepest slope, m/m, from one end to an interior point raised by the curvature of the Earth. */
function findSteepestSlope(input: BullingtonInput, from: "transmitter" | "receiver"): number {
  const { distanceM, heightAmslM, txAmslM, rxAmslM, effectiveEarthRadiusM } = input;
  const last = distanceM.length - 1;
  const pathM = distanceM[last];
  const endAmslM = from === "transmitter" ? txAmslM : rxAmslM;
  let slope = -Infinity;
  for (let i = 1; i < last; i++) {
    const d1 = distanceM[i];
    const d2 = pathM - d1;
    const raisedM = heightAmslM[i] + (d1 * d2) / (2 * effectiveEarthRadiusM);
    slope = Math.max(slope, (raisedM - endAmslM) / (from === "transmitter" ? d1 : d2));
  }
  return slope;
}

/** Eq (15): the greatest nu of an interior point of a clear path. */
function findGreatestNu(input: BullingtonInput): number {
  const { distanceM, heightAmslM, txAmslM, rxAmslM, wavelengthM, effectiveEarthRadiusM } = input;
  const last = distanceM.length - 1;
  const pathM = distanceM[last];
  let greatest = -Infinity;
  for (let i = 1; i < last; i++) {
    const d1 = distanceM[i];
    const d2 = pathM - d1;
    const raisedM = heightAmslM[i] + (d1 * d2) / (2 * effectiveEarthRadiusM);
    const sightM = (txAmslM * d2 + rxAmslM * d1) / pathM;
    greatest = Math.max(greatest, (raisedM - sightM) * Math.sqrt((2 * pathM) / (wavelengthM * d1 * d2)));
  }
  return greatest;
}

/** Eqs (17) to (19): nu of the edge where the horizon lines of both ends meet. */
function computeHorizonEdgeNu(input: BullingtonInput, stim: number): number {
  const { distanceM, txAmslM, rxAmslM, wavelengthM } = input;
  const pathM = distanceM[distanceM.length - 1];
  const srim = findSteepestSlope(input, "receiver");
  const d1 = (rxAmslM - txAmslM + srim * pathM) / (stim + srim);
  const d2 = pathM - d1;
  const overSightM = txAmslM + stim * d1 - (txAmslM * d2 + rxAmslM * d1) / pathM;
  return overSightM * Math.sqrt((2 * pathM) / (wavelengthM * d1 * d2));
}
