import type { LinkColumns } from "./link-columns.ts";
import type { MeasuredLink } from "./measured-link.ts";
import type { HeldOut } from "./own-data-calibration.ts";
import { computeHuberLoss, fitTerms, PRIOR_SIGMA_DB, predictExcessDb } from "./robust-fit.ts";
import type { Terms } from "./shrunk-least-squares.ts";

/** Above this number groups are left out several at a time, so that thousands of links are judged in seconds. */
const MOST_FITS = 200;

/**
 * Returns the excess of each link as predicted by the links outside its group, dB: each group in turn is left out.
 * `groupOf`: number from 0 of each link's group. `whole`: the fit to all links, from which the others start.
 */
export function predictHeldOutDb(links: LinkColumns, groupOf: Uint32Array, whole: Terms): Float64Array {
  const foldOf = groupOf.map((group) => group % MOST_FITS);
  const folds = foldOf.reduce((most, fold) => Math.max(most, fold + 1), 0);
  const excessDb = new Float64Array(links.count);
  for (let fold = 0; fold < folds; fold++) {
    const isHeldOut = Uint8Array.from(foldOf, (other) => (other === fold ? 1 : 0));
    const terms = fitTerms(links, isHeldOut, whole);
    for (let i = 0; i < links.count; i++) {
      if (isHeldOut[i]) excessDb[i] = predictExcessDb(terms, links, i);
    }
  }
  return excessDb;
}

/** Returns the errors of links without a calibration, and with the prediction by other links. */
export function scoreHeldOut(links: LinkColumns, predictedDb: Float64Array): HeldOut {
  const { count, excessDb, pathClass } = links;
  const gains = new Float64Array(count);
  let before = 0;
  let after = 0;
  for (let i = 0; i < count; i++) {
    const errorDb = excessDb[i] - predictedDb[i];
    before += excessDb[i] ** 2;
    after += errorDb ** 2;
    const sigmaDb = PRIOR_SIGMA_DB[pathClass[i]];
    gains[i] = computeHuberLoss(excessDb[i], sigmaDb) - computeHuberLoss(errorDb, sigmaDb);
  }
  const gain = gains.reduce((sum, one) => sum + one, 0) / count;
  const variance = gains.reduce((sum, one) => sum + (one - gain) ** 2, 0) / (count - 1);
  return {
    beforeRmseDb: Math.sqrt(before / count),
    afterRmseDb: Math.sqrt(after / count),
    gain,
    gainError: Math.sqrt(variance / count),
  };
}

/** Returns groups of one link each. */
export function groupOneByOne(count: number): Uint32Array {
  return Uint32Array.from({ length: count }, (_, i) => i);
}

/** Returns squares of the ground as groups, numbered in order of appearance. */
export function groupBySquares(
  links: readonly MeasuredLink[],
  blockM: number,
): { groupOf: Uint32Array; squares: number } {
  const numbers = new Map<string, number>();
  const groupOf = Uint32Array.from(links, ({ eastM, northM }) => {
    const square = `${Math.floor(eastM / blockM)},${Math.floor(northM / blockM)}`;
    const number = numbers.get(square) ?? numbers.size;
    numbers.set(square, number);
    return number;
  });
  return { groupOf, squares: numbers.size };
}
