import type { LinkColumns } from "./link-columns.ts";
import type { MeasuredLink } from "./measured-link.ts";
import type { HeldOut } from "./own-data-calibration.ts";
import { fitTerms, huberLoss, PRIOR_SIGMA_DB, predictedExcessDb } from "./robust-fit.ts";
import type { Terms } from "./shrunk-least-squares.ts";

/** More groups than this are left out several at a time, so that thousands of links are judged in seconds. */
const MOST_FITS = 200;

/**
 * What links say of each link that were not in its group, dB: each group in turn is left out of the fit.
 * `groupOf`: number from 0 of each link's group. `whole`: the fit to all links, from which the others start.
 */
export function heldOutExcessDb(links: LinkColumns, groupOf: Uint32Array, whole: Terms): Float64Array {
  const foldOf = groupOf.map((group) => group % MOST_FITS);
  const folds = foldOf.reduce((most, fold) => Math.max(most, fold + 1), 0);
  const excessDb = new Float64Array(links.count);
  for (let fold = 0; fold < folds; fold++) {
    const isHeldOut = Uint8Array.from(foldOf, (other) => (other === fold ? 1 : 0));
    const terms = fitTerms(links, isHeldOut, whole);
    for (let i = 0; i < links.count; i++) {
      if (isHeldOut[i]) excessDb[i] = predictedExcessDb(terms, links, i);
    }
  }
  return excessDb;
}

/** How links fared without a calibration, and with what the others said of them. */
export function heldOutScore(links: LinkColumns, predictedDb: Float64Array): HeldOut {
  const { count, excessDb, pathClass } = links;
  const gains = new Float64Array(count);
  let before = 0;
  let after = 0;
  for (let i = 0; i < count; i++) {
    const errorDb = excessDb[i] - predictedDb[i];
    before += excessDb[i] ** 2;
    after += errorDb ** 2;
    const sigmaDb = PRIOR_SIGMA_DB[pathClass[i]];
    gains[i] = huberLoss(excessDb[i], sigmaDb) - huberLoss(errorDb, sigmaDb);
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

/** Every link a group of its own. */
export function oneByOne(count: number): Uint32Array {
  return Uint32Array.from({ length: count }, (_, i) => i);
}

/** Squares of the ground as groups, numbered as they come. */
export function bySquares(links: readonly MeasuredLink[], blockM: number): { groupOf: Uint32Array; squares: number } {
  const numbers = new Map<string, number>();
  const groupOf = Uint32Array.from(links, ({ eastM, northM }) => {
    const square = `${Math.floor(eastM / blockM)},${Math.floor(northM / blockM)}`;
    const number = numbers.get(square) ?? numbers.size;
    numbers.set(square, number);
    return number;
  });
  return { groupOf, squares: numbers.size };
}
