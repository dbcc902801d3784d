export interface SmoothEarthInput {
  /** Distance from the transmitter, m: first 0, strictly rising. */
  distanceM: Float64Array;
  /** Bare ground, m above sea level, one per distance. */
  bareAmslM: Float64Array;
  /** Antenna heights above sea level, m. */
  txAmslM: number;
  rxAmslM: number;
}

export interface SmoothEarthHeights {
  /** Ends of the least-squares straight line: hst and hsr of P.1812-6 eqs (85), (86). */
  fitTxAmslM: number;
  fitRxAmslM: number;
  /** The same lowered for obstructions and kept at or below the ground: hstd and hsrd of eqs (89a), (89b). */
  smoothTxAmslM: number;
  smoothRxAmslM: number;
}

/**
 * Heights of the smooth surface under both ends that stands for the terrain in the diffraction method.
 * Symbols v1, v2 and H (`overM`) are the source's; the line between the antennas carries no Earth curvature.
 * Source: ITU-R P.526-15, section 4.5.2, eqs (55) to (59); P.1812-6, Attachment 1, section 5.6, eqs (83) to (89).
 * Example: ridge of 60 m at 4 of 10 km between ends at 0 m: the fit is 36 and 24 m, the smooth heights 0 and 0.
 */
export function smoothEarthHeights(input: SmoothEarthInput): SmoothEarthHeights {
  const { bareAmslM } = input;
  const fit = fitLine(input.distanceM, bareAmslM);
  const { heightM, txSlope, rxSlope } = obstruction(input);
  const txShare = txSlope / (txSlope + rxSlope);
  const loweredTxM = heightM > 0 ? fit.txAmslM - heightM * txShare : fit.txAmslM;
  const loweredRxM = heightM > 0 ? fit.rxAmslM - heightM * (1 - txShare) : fit.rxAmslM;
  return {
    fitTxAmslM: fit.txAmslM,
    fitRxAmslM: fit.rxAmslM,
    smoothTxAmslM: Math.min(loweredTxM, bareAmslM[0]),
    smoothRxAmslM: Math.min(loweredRxM, bareAmslM[bareAmslM.length - 1]),
  };
}

/** Eqs (83) to (86): ends of the straight line with the least squared distance from the profile. */
function fitLine(distanceM: Float64Array, bareAmslM: Float64Array): { txAmslM: number; rxAmslM: number } {
  const pathM = distanceM[distanceM.length - 1];
  let v1 = 0;
  let v2 = 0;
  for (let i = 1; i < distanceM.length; i++) {
    const d0 = distanceM[i - 1];
    const d1 = distanceM[i];
    const h0 = bareAmslM[i - 1];
    const h1 = bareAmslM[i];
    v1 += (d1 - d0) * (h1 + h0);
    v2 += (d1 - d0) * (h1 * (2 * d1 + d0) + h0 * (d1 + 2 * d0));
  }
  return { txAmslM: (2 * v1 * pathM - v2) / pathM ** 2, rxAmslM: (v2 - v1 * pathM) / pathM ** 2 };
}

/** Eqs (87a) to (87c): greatest height over the straight line, and steepest slopes to the terrain from both ends. */
function obstruction(input: SmoothEarthInput): { heightM: number; txSlope: number; rxSlope: number } {
  const { distanceM, bareAmslM, txAmslM, rxAmslM } = input;
  const last = distanceM.length - 1;
  const pathM = distanceM[last];
  let heightM = -Infinity;
  let txSlope = -Infinity;
  let rxSlope = -Infinity;
  for (let i = 1; i < last; i++) {
    const d1 = distanceM[i];
    const d2 = pathM - d1;
    const overM = bareAmslM[i] - (txAmslM * d2 + rxAmslM * d1) / pathM;
    heightM = Math.max(heightM, overM);
    txSlope = Math.max(txSlope, overM / d1);
    rxSlope = Math.max(rxSlope, overM / d2);
  }
  return { heightM, txSlope, rxSlope };
}
