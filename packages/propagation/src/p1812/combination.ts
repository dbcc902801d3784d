/** Losses of one path by the sub-models, dB, by the symbols of the source. */
export interface SubModelLosses {
  lb0pDb: number;
  lb0BetaDb: number;
  ldpDb: number;
  lbd50Db: number;
  lbdDb: number;
  lbaDb: number;
  lbsDb: number;
}

export interface CombinationInput {
  losses: SubModelLosses;
  pathKm: number;
  angularDistanceMrad: number;
  seaFraction: number;
  timePercent: number;
  beta0Percent: number;
  /** Weight between median and beta0 % of the time, Fi. */
  fi: number;
}

export interface CombinedLoss {
  fj: number;
  fk: number;
  lminb0pDb: number;
  lminbapDb: number;
  lbdaDb: number;
  lbamDb: number;
  /** Loss not exceeded for p % of the time and 50 % of places. */
  lbcDb: number;
}

/** Scale of the blend of ducting and line of sight, dB: eta of eq (60). */
const BLEND_DB = 2.5;

/**
 * Loss of one path from the losses of its sub-models, with the weights between them.
 * Source: ITU-R P.1812-6, section 4.6, eqs (57) to (63).
 */
export function combineLosses(input: CombinationInput): CombinedLoss {
  const { lb0pDb, lbaDb, lbdDb, lbsDb } = input.losses;
  // Eq (57): 1 on a path in sight, 0 well past the horizon.
  const fj = evaluateFallingStep(input.angularDistanceMrad, 0.3, 3 * 0.8);
  // Eq (58): 1 on a short path, 0 well past 20 km.
  const fk = evaluateFallingStep(input.pathKm, 20, 3 * 0.5);
  const lminb0pDb = computeLeastLossWithDiffractionDb(input);
  const lminbapDb = BLEND_DB * Math.log(Math.exp(lbaDb / BLEND_DB) + Math.exp(lb0pDb / BLEND_DB));
  const lbdaDb = lminbapDb > lbdDb ? lbdDb : lminbapDb + (lbdDb - lminbapDb) * fk;
  const lbamDb = lbdaDb + (lminb0pDb - lbdaDb) * fj;
  const lbcDb = -5 * Math.log10(10 ** (-0.2 * lbsDb) + 10 ** (-0.2 * lbamDb));
  return { fj, fk, lminb0pDb, lminbapDb, lbdaDb, lbamDb, lbcDb };
}

/** 1 below the centre, 0.5 at it, 0 beyond. */
function evaluateFallingStep(value: number, centre: number, steepness: number): number {
  return 1 - 0.5 * (1 + Math.tanh((steepness * (value - centre)) / centre));
}

/** Eq (59): notional least loss of line of sight and sub-path diffraction over sea, Lminb0p. */
function computeLeastLossWithDiffractionDb({
  losses,
  seaFraction,
  timePercent,
  beta0Percent,
  fi,
}: CombinationInput): number {
  const { lb0pDb, lb0BetaDb, ldpDb, lbd50Db } = losses;
  const overLandDb = (1 - seaFraction) * ldpDb;
  if (timePercent < beta0Percent) return lb0pDb + overLandDb;
  return lbd50Db + (lb0BetaDb + overLandDb - lbd50Db) * fi;
}
