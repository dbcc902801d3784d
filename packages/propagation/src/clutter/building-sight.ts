/** Statistics of the buildings of an area. */
export interface BuildingStatistics {
  /** Share of the land that buildings cover, 0 to 1: alpha. */
  coveredShare: number;
  /** Mean number of buildings per square kilometre: beta. */
  perKm2: number;
  /** Most frequent height of their Rayleigh-distributed roofs, m: gamma. */
  modeHeightM: number;
}

/** Kinds of areas as the literature quotes them with the Recommendation; measured statistics are better. */
export const BUILDING_AREAS = {
  suburban: { coveredShare: 0.1, perKm2: 750, modeHeightM: 8 },
  urban: { coveredShare: 0.3, perKm2: 500, modeHeightM: 15 },
  "dense-urban": { coveredShare: 0.5, perKm2: 300, modeHeightM: 20 },
} as const satisfies Record<string, BuildingStatistics>;

export interface BuildingSightInput {
  distanceM: number;
  /** Antennas above the ground, m. */
  txHeightAglM: number;
  rxHeightAglM: number;
  buildings: BuildingStatistics;
}

/**
 * Probability, 0 to 1, that no roof reaches the line between two antennas over flat built-up ground. The line meets
 * floor(r sqrt(alpha beta)) buildings at even distances, each lower than the line with 1 - exp(-h^2 / (2 gamma^2)).
 * Source: ITU-R P.1410-5, section 2.1.5, by a public transcription. Valid for: 3 to 60 GHz (no frequency enters);
 * Rayleigh-distributed roofs; no trees and no terrain. The count of buildings makes steps of one building.
 * Example: 150 m, 50 and 1.5 m, alpha 0.5, beta 400 per km2, gamma 20 m: 0.17263.
 */
export function computeSightProbability(input: BuildingSightInput): number {
  const { distanceM, txHeightAglM, rxHeightAglM, buildings } = input;
  const count = countBuildingsOnLine(distanceM, buildings);
  let probability = 1;
  for (let i = 0; i < count; i++) {
    const fromTxShare = (i + 0.5) / count;
    const lineAglM = txHeightAglM + (rxHeightAglM - txHeightAglM) * fromTxShare;
    probability *= computeLowerShare(lineAglM, buildings.modeHeightM);
  }
  return probability;
}

/** Buildings that a line of this length meets on average, rounded down. */
function countBuildingsOnLine(distanceM: number, { coveredShare, perKm2 }: BuildingStatistics): number {
  return Math.floor((distanceM / 1000) * Math.sqrt(coveredShare * perKm2));
}

/** Share of the roofs that are lower than a height, by the Rayleigh distribution of their mode. */
function computeLowerShare(heightM: number, modeHeightM: number): number {
  return -Math.expm1(-(heightM ** 2) / (2 * modeHeightM ** 2));
}
