export interface SmoothEarthInput {
  /** Distance from the transmitter, m: first 0, strictly rising. */
  distanceM: Float64Array;
  /** Bare ground, m above sea level, one per distance. */
  bareAmslM: Float64Array;
  /** Antenna heights above sea level, m. */
  txAmslM: number;
  rxAmslM: number;
}

/** Ends of a straight line under a path, m above sea level. */
export interface LineEnds {
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
 * Heights, under both ends, of the smooth surface that replaces the terrain in the diffraction method.
 * The line between the antennas is straight: no Earth curvature.
 * Source: ITU-R P.526-15, section 4.5.2, eqs (55) to (59); P.1812-6, Attachment 1, section 5.6, eqs (83) to (89).
 * Example: ridge of 60 m at 4 of 10 km between ends at 0 m: the fit is 36 and 24 m, the smooth heights 0 and 0.
 */
export function computeSmoothEarthHeights(input: SmoothEarthInput): SmoothEarthHeights {
  const { distanceM, bareAmslM } = input;
  const fit = fitGroundLine(distanceM, bareAmslM);
  const lowered = lowerForObstruction(fit, findObstruction(input));
  return {
    fitTxAmslM: fit.txAmslM,
    fitRxAmslM: fit.rxAmslM,
    smoothTxAmslM: Math.min(lowered.txAmslM, bareAmslM[0]),
    smoothRxAmslM: Math.min(lowered.rxAmslM, bareAmslM[bareAmslM.length - 1]),
  };
}

/**
 * Eqs (83) to (86): ends of the straight line with the least squared distance from the profile; v1 and v2 are the
 * source's. The unit of the distances does not matter.
 */
export function fitGroundLine(distance: Float64Array, bareAmslM: Float64Array): LineEnds {
  const length = distance[distance.length - 1];
  let v1 = 0;
  let v2 = 0;
  for (let i = 1; i < distance.length; i++) {
    const d0 = distance[i - 1];
    const d1 = distance[i];
    const h0 = bareAmslM[i - 1];
    const h1 = bareAmslM[i];
    v1 += (d1 - d0) * (h1 + h0);
    v2 += (d1 - d0) * (h1 * (2 * d1 + d0) + h0 * (d1 + 2 * d0));
  }
  return { txAmslM: (2 * v1 * length - v2) / length ** 2, rxAmslM: (v2 - v1 * length) / length ** 2 };
}

/** Terrain over the straight line between the antennas. */
export interface Obstruction {
  /** Greatest height over the line, m: hobs; 0 or less where the line is free. */
  heightM: number;
  /** Steepest slopes over the line seen from both ends: alpha_obt, alpha_obr. Their unit does not matter. */
  txSlope: number;
  rxSlope: number;
}

/** Eqs (87a) to (87c): greatest height over the straight line, and steepest slopes to the terrain from both ends. */
function findObstruction(input: SmoothEarthInput): Obstruction {
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

/**
 * Eqs (88a) to (88e): the fitted line lowered by the obstruction, shared between its ends by the slopes.
 * Example: 36 and 24 m under 40 m of obstruction with slopes 0.03 and 0.01: 6 and 14 m.
 */
export function lowerForObstruction(fit: LineEnds, { heightM, txSlope, rxSlope }: Obstruction): LineEnds {
  if (!(heightM > 0)) return fit;
  const txShare = txSlope / (txSlope + rxSlope);
  return { txAmslM: fit.txAmslM - heightM * txShare, rxAmslM: fit.rxAmslM - heightM * (1 - txShare) };
}
