/** Service radii that networks are opened for, m. */
const OPENED_M = [15_000, 30_000, 60_000] as const;

/**
 * Returns the service radius that a network is opened for when one is asked for: a few openings serve every radius. What
 * the sectors hear is drawn from subscribers within the opened radius.
 */
export function chooseOpenedRadiusM(askedM: number): number {
  return OPENED_M.find((radiusM) => radiusM >= askedM) ?? askedM;
}
